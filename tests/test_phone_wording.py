"""The pages of phones speak the crew's language: every text of page and script is a message."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from html.parser import HTMLParser
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from calllog.resources import PACKAGE
from calllog.server.board import Board
from calllog.server.door import Entrance
from calllog.server.messages import Admission
from calllog.server.offered import Offered
from calllog.server.site import Site
from calllog.server.trust import TrustPage
from calllog.server.wording import COMMON, PREFIXES, SCRIPTS, STATIC, page_text, script_words
from calllog.values import Role
from calllog.wording import ENGLISH, HERE, language_words, languages
from tests.catalogues import messages_in

SLOT = re.compile(r"\{([a-z-]+)\}")
GIVEN = {"language", "words", "page", "fingerprint"}
"""Slots that are no messages."""
READ = ("alt", "aria-label", "title", "placeholder")
"""Attributes that are read by people."""
NAMES = re.compile(r"\bcalllog\b:?")
SCRIPT_OF = {"phone.js": "phone.html", "pair.js": "pair.html", "crew.js": "crew.html"}
LITERAL = re.compile(r'"((?:[^"\\\n]|\\.)*)"|`((?:[^`\\]|\\.)*)`')
FILLED = re.compile(r"\$\{(?:[^{}]|\{[^{}]*\})*\}")
SPOKEN = re.compile(r"[a-z]{2,} [a-z]{2,}|^[A-Z][a-z]+|[A-Z]{3,}", re.ASCII)
"""What looks like words for people: two beside each other, a capital at the beginning, capitals."""
TECHNICAL = {
    *("use strict", "Content-Type", "X-Calllog-Token", "POST", "AGREES", "BOOKED", "ASKED", "STOP"),
    *("NotAllowedError", "#kinds input:checked"),
    "no WAV",
}
"""Texts of scripts that no page shows: names of the browser and of the logger, and a fault."""
SAYS = re.compile(r'(?<![\w.])say\("([a-z-]+)"(?:, \{([^}]*)\})?')
ROLES = {"head", "rear"}
"""Messages that scripts name by whose the phone is."""
ALIKE = {"crew-phone-enter", "crew-phone-listener", "phones-invite"}
"""Messages that are the same in Spanish and English: the name of a key, figures alone."""
SECTIONS = ("chief", "order", "door", "phone", "phones", "crew-phone", "crew-trust")


class Shown(HTMLParser):
    """Collects what a page shows."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.feed(page)

    def handle_data(self, data: str) -> None:
        """Take a text."""
        self.texts.append(data)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take the attributes that people read."""
        del tag
        self.texts += [value or "" for name, value in attrs if name in READ]


def catalogue(code: str) -> Mapping[str, frozenset[str]]:
    """List the messages of a language with their facts."""
    return messages_in((HERE / f"{code}.ftl").read_text("utf-8"))


def code_of(page: str, slot: str) -> str:
    """Give the message that stands in a slot."""
    return slot if slot.startswith(COMMON) else f"{PREFIXES[page]}-{slot}"


def slots() -> Iterator[tuple[str, str]]:
    """List the messages that pages and their scripts say: page, code."""
    for page in PREFIXES:
        for slot in set(SLOT.findall((STATIC / page).read_text("utf-8"))) - GIVEN:
            yield page, code_of(page, slot)
        for name in SCRIPTS[page]:
            yield page, f"{PREFIXES[page]}-{name}"


def owned(code: str) -> set[str]:
    """List the messages of phones."""
    return {each for each in catalogue(code) if re.match(rf"({'|'.join(SECTIONS)})-", each)}


def constants() -> set[str]:
    """List all texts of the modules of the two rooms that tell phones something."""
    return {
        node.value
        for room in ("server", "phone", "live")
        for path in (PACKAGE / room).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


@pytest.mark.parametrize("code", languages())
def test_every_text_of_the_pages_is_a_message(code: str) -> None:
    """In each language; a slot without one would show its code."""
    said = {each for _, each in slots()}
    assert len(said) > 100
    assert not said - catalogue(code).keys()


@pytest.mark.parametrize("page", PREFIXES)
def test_page_shows_no_word_of_its_own(page: str) -> None:
    """What stands between the slots is punctuation, and the program's name."""
    texts = Shown((STATIC / page).read_text("utf-8")).texts
    left = [NAMES.sub("", SLOT.sub("", each)).strip() for each in texts]
    assert not [each for each in left if re.search(r"[^\W\d_]", each)]


@pytest.mark.parametrize("name", SCRIPT_OF)
def test_script_says_nothing_of_its_own(name: str) -> None:
    """Every word that a script shows is told by the catalogue, and every such message is used."""
    text = (STATIC / name).read_text("utf-8")
    text = re.sub(r"(?m)^\s*//.*$|(?<=[;,{(]) // .*$", "", text)
    literals = [FILLED.sub("", one or other) for one, other in LITERAL.findall(text)]
    assert len(literals) > 10
    assert not [each for each in literals if SPOKEN.search(each) and each not in TECHNICAL]
    said = set(re.findall(r'"([a-z][a-z-]*)"', text)) | set(re.findall(r"WORDS\.(\w+)", text))
    assert not SCRIPTS[SCRIPT_OF[name]].keys() - said - ROLES
    asked = {
        code: set(re.findall(r"(\w+)(?::|,|\s*$)", facts)) for code, facts in SAYS.findall(text)
    }
    wrong = {
        code: facts
        for code, facts in asked.items()
        if code not in SCRIPTS[SCRIPT_OF[name]] or set(SCRIPTS[SCRIPT_OF[name]][code]) - facts
    }
    assert not wrong


def test_messages_of_scripts_have_the_facts_that_they_are_given() -> None:
    """Each fact that a message asks for is a slot of what the script gets."""
    known = catalogue("en")
    for page, said in SCRIPTS.items():
        for name, facts in said.items():
            assert known[f"{PREFIXES[page]}-{name}"] == set(facts), name


def test_every_message_of_phones_is_used() -> None:
    """What no page says any more is taken out of the catalogues."""
    inside = re.findall(r"\{ ([a-z]+(?:-[a-z]+)+) \}", (HERE / "en.ftl").read_text("utf-8"))
    assert not owned("en") - {each for _, each in slots()} - constants() - {*inside}


@pytest.mark.parametrize("code", [each for each in languages() if each != ENGLISH.language])
def test_every_message_of_phones_is_told_in_its_own_words(code: str) -> None:
    """No translation is the English text, and none keeps a word of it."""
    words = language_words(code)
    facts = dict.fromkeys(set().union(*catalogue("en").values()), "7")
    told = {each: (ENGLISH(each, **facts), words(each, **facts)) for each in owned("en")}
    assert not {each for each, (one, other) in told.items() if one == other} - ALIKE
    english = re.compile(r"\b(the|pull|phone|logger|code|check|call|paired|taken|value|is|not)\b")
    assert not {each: other for each, (_, other) in told.items() if english.search(other)}


@pytest.mark.parametrize("code", languages())
def test_site_serves_all_its_pages_in_the_language_of_the_crew(code: str, tmp_path: Path) -> None:
    """The door, why it stays shut, and the page that explains the certificate."""
    origin, words = "http://10.42.0.1:8421", language_words(code)
    board = Board(lambda _: None)
    board.take(Admission("12345678", {}))
    offered = Offered(roles=(Role.HEAD, Role.REAR), language=code, keeps=True, words="{}")
    app = Site(board, origin, tmp_path, language=code, offered=offered).app
    with TestClient(app, base_url=origin, headers={"origin": origin}) as client:
        door = client.get("/").text
        assert f'<html lang="{code}">' in door
        assert f"<h1>{words('door-title')}</h1>" in door
        given = {"code": "1", "name": "Anna"}
        refused = client.post("/api/pair", json=given).json()["words"]
        assert refused == words("door-wrong")
        assert client.get("/api/me").json()["words"] == words("phone-not-paired")
        assert client.get("/nothing").json()["words"] == words("phone-no-page")
        elsewhere = client.get("/", headers={"host": "elsewhere"}).json()
        assert elsewhere["words"] == words("phone-other-address")
    certificate = "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n"
    trust = TrustPage(origin, "https://10.42.0.1:8420", certificate, code).app
    with TestClient(trust, base_url=origin) as client:
        assert f"<h1>{words('crew-trust-title')}</h1>" in client.get("/").text


def test_each_way_to_be_turned_away_has_words() -> None:
    """A code that opens is told by no words."""
    turned = {each.value for each in Entrance} - {Entrance.OPEN.value}
    assert len(turned) > 5
    assert all(ENGLISH.knows(each) for each in turned)


def test_words_of_a_script_cannot_break_out_of_the_page() -> None:
    """Quotes and tags in a message are escaped where the page has them as JSON."""
    page = page_text("phone.html", ENGLISH)
    attribute = re.search(r'data-words="([^"]*)"', page)
    assert attribute is not None
    assert "<" not in attribute[1]
    assert "&quot;stale&quot;" in attribute[1]
    assert script_words("phone.html", ENGLISH)["decide-pull"] == "▲ STOP: decide pull {pull}"

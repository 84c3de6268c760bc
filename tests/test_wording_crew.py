"""What the crew sees and hears, in every language: complete, in its own unit, nothing unused."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog import resources
from calllog.commands.card import card_html
from calllog.commands.decide import decide
from calllog.errors import ConfigError
from calllog.hearing import FileHeard
from calllog.keypad import ROWS
from calllog.keypad.strokes import rows
from calllog.office import weigh_pull
from calllog.pairing import status
from calllog.panel import ViewText
from calllog.panel.words import conditions_in_words, consequence_line, event_line
from calllog.readback import Tone, answer, say_text
from calllog.recognise import unclear
from calllog.resources import PACKAGE, read_grammar
from calllog.session import Job
from calllog.spoken import Parser
from calllog.values import (
    CheckPolicy,
    Choice,
    Conditions,
    Fact,
    Finding,
    Kind,
    Message,
    Question,
    ReadingUnit,
    Role,
    Severity,
    Style,
    message,
)
from calllog.wording import ENGLISH, HERE, language_words, languages
from tests.catalogues import messages_in
from tests.crew import Crew, settings
from tests.fieldjob import Paper
from tests.metricjob import TAPE as METRIC_TAPE
from tests.metricjob import line
from tests.panel import AGREED, STOPPED, replayed, text_of
from tests.phone import Phones
from tests.rig import Rig

OTHERS = [each for each in languages() if each != ENGLISH.language]
SECTIONS = (
    "Words of the crew.",
    "What follows a call: results.",
    "Tapes, lines and remarks.",
    "Devices, as they are heard.",
    "Devices, as the screen shows them.",
    "Keys: why what is typed is not taken.",
    "Keys: what each does.",
    "The screen; labels and the sign have at most eight letters.",
    "Lines of a log.",
    "Conditions.",
    "The printed card.",
)
"""Sections of the English catalogue that only the crew sees and hears."""
CATALOGUES = {code: (HERE / f"{code}.ftl").read_text("utf-8") for code in languages()}
WIDEST = 8
"""Letters of a label of the screen."""
FEET = {"en": r"\b(foot|feet|ft|lb|pounds?|degF|Fahrenheit)\b", "es": r"\b(pies?|ft|lb|libras?)\b"}
MAKERS = {"message", "words", "ENGLISH", "_refused", "_words", "_say"}
"""Names of what makes a message of a code."""
SYMBOLS = {"crew-unit", "key-range"}
"""Messages that are told the unit."""


def owned() -> set[str]:
    """List the messages of the crew's sections."""
    blocks = {each.partition("\n")[0]: each for each in CATALOGUES["en"].split("\n## ")}
    return {code for section in SECTIONS for code in messages_in(f"## {blocks[section]}")}


def constants() -> Iterator[str]:
    """List the texts of all modules and templates that may be codes."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value
    for path in PACKAGE.rglob("*.j2"):
        yield from re.findall(r"""["']([a-z][a-z0-9-]*)["']""", path.read_text("utf-8"))


def said() -> Iterator[tuple[str, str, set[str] | None]]:
    """List where messages are made: place, code, facts given; None where they are not all seen."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            code = node.args[0].value if isinstance(node.args[0], ast.Constant) else None
            if name in {"message", "words", "ENGLISH", "_refused", "_words", "_say"} and isinstance(
                code, str
            ):
                given = {each.arg for each in node.keywords}
                facts = None if None in given else {str(each) for each in given}
                yield f"{path.name}:{node.lineno}", code, facts


def bare(unit: ReadingUnit, language: str) -> dict[str, str]:
    """Say every message of the crew, with a fact of no meaning for each that it asks for."""
    words = language_words(language).measured_in(unit)
    asked = messages_in(CATALOGUES["en"])
    return {code: words(code, **dict.fromkeys(asked[code], "7")) for code in owned()}


@pytest.mark.parametrize("language", OTHERS)
def test_languages_have_the_same_messages_with_the_same_facts(language: str) -> None:
    """No message is lacking, and no translation loses a value."""
    english, other = (messages_in(CATALOGUES[each]) for each in ("en", language))
    assert {code: other.get(code) for code in owned()} == {code: english[code] for code in owned()}


def test_every_message_of_the_crew_is_used() -> None:
    """What nobody says any more is taken out of the catalogues."""
    assert len(owned()) > 150
    assert not owned() - set(constants())


def test_every_message_that_is_made_exists_with_its_facts() -> None:
    """A wrong code, or a fact that is not given, would show the code in place of words."""
    known = messages_in(CATALOGUES["en"])
    prefixes = {code.partition("-")[0] for code in owned()}
    made = [each for each in said() if each[1] in known or each[1].partition("-")[0] in prefixes]
    assert len({code for _, code, _ in made}) > 100
    assert not [each for each in made if each[1] not in known]
    lacking = [each for each in made if each[2] is not None and known[each[1]] - each[2]]
    assert not lacking


def test_codes_in_tables_exist() -> None:
    """What keys do, and all that the card states, is named by codes that there are."""
    prefixes = {code.partition("-")[0] for code in owned()}
    form = re.compile(rf"(?:{'|'.join(sorted(prefixes - {'line', 'tape', 'not'}))})(?:-[a-z]+)+")
    files = ("keypad/strokes.py", "commands/card.py", "readback/words.py", "panel/view.py")
    found = {
        node.value
        for name in files
        for node in ast.walk(ast.parse((PACKAGE / name).read_text("utf-8")))
        if isinstance(node, ast.Constant) and form.fullmatch(str(node.value))
    }
    assert len(found) > 90
    assert not found - messages_in(CATALOGUES["en"]).keys()


@pytest.mark.parametrize("name", ["en-us-feet", "en-metric", "es-feet", "es-metric"])
def test_ways_out_of_a_stop_are_named_as_they_are_said(name: str) -> None:
    """Who says what the program told them to say is understood: no other words for the same."""
    grammar = read_grammar(name)
    words = grammar.words.measured_in(grammar.unit)
    stop = {"severity": Severity.STOP, "pull": 2, "first": 3387, "second": 3377, "calls": ()}
    facts = {"part": "fraction", "measurement": "check"}
    told = [
        words.question(Question(pull=2, role=Role.REAR, asks=message("stop-stands", pull=2))),
        *(
            words.remedy(Finding.model_validate({"code": code, "facts": facts, **stop}))
            for code in ("not-sure", "repeat-differs")
        ),
    ]
    for way in ("first", "check", "again"):
        assert all(grammar.commands[way][0] in each for each in told), way
    assert grammar.commands["scratch"][0] in told[-1]


@pytest.mark.parametrize("language", languages())
def test_nobody_is_asked_to_choose_between_nothing_and_nothing(language: str) -> None:
    """One digit may be tenths or hundredths; a zero alone is nothing either way."""
    words = language_words(language)
    for zero in (
        message("one-digit", said="0", digit=0),
        message("key-one-digit", typed="15.0", whole="15", digit=0),
    ):
        assert words.say(zero).count(".00") == 0
    assert ".05" in words.say(message("one-digit", said="5", digit=5))


@pytest.mark.parametrize("language", languages())
def test_metric_crews_are_never_told_of_feet(language: str) -> None:
    """On a metric tape each sentence speaks of metres, newtons and Celsius."""
    assert FEET.keys() == set(languages())
    foot = re.compile(FEET[language])
    told = bare(ReadingUnit.METRE, language)
    assert not {c: text for c, text in told.items() if foot.search(text) and c not in SYMBOLS}
    assert sum(bool(foot.search(text)) for text in bare(ReadingUnit.FOOT, language).values()) > 15


@pytest.mark.parametrize("language", languages())
def test_labels_fit_the_screen(language: str) -> None:
    """Each label, and the sign with its mark before it, stands in its column."""
    words = language_words(language)
    labels = {words(code) for code in owned() if code.startswith("screen-label-")}
    labels |= {f"! {words('screen-sign', sign=name)}" for name in ("AGREES", "BOOKED")}
    labels |= {f"! {words('screen-sign', sign=name)}" for name in ("STOP", "ASKED")}
    assert len(labels) == len([c for c in owned() if c.startswith("screen-label-")]) + 4
    assert max(map(len, labels)) <= WIDEST


@pytest.mark.parametrize("language", languages())
def test_refusals_of_keys_list_what_there_is(language: str) -> None:
    """The codes and steps that a refusal lists are those of the key language, and no more."""
    words = language_words(language)
    stated = [row for row in ROWS if row.greatest is not None]
    listed = words("key-states-nothing", code="0")
    assert re.findall(r"(\d)\*", listed) == ["0", *(row.keys[0] for row in stated)]
    names = [words("crew-condition", name=row.name) for row in stated]
    assert listed.partition("; ")[2] == ", ".join(
        f"{row.keys[0]}* {name}" for row, name in zip(stated, names, strict=True)
    )
    steps = [row for row in ROWS if re.fullmatch(r"\d/( Enter)?", row.keys)]
    enter = {"en": " and Enter", "es": " y Enter"}[language]
    assert words("key-means-nothing", typed="4/").partition("; ")[2] == ", ".join(
        f"{row.keys.replace(' Enter', enter)} {words(row.does)}" for row in steps
    )


def test_amounts_of_metric_keys_have_metric_units() -> None:
    """Every symbol of a unit that a key states its amount in has its words."""
    for unit in ReadingUnit:
        for row in rows(unit):
            told = ENGLISH("key-range", least=row.least, greatest=9, symbol=row.unit or "none")
            assert told == f"{row.least} to 9 {row.unit}".rstrip()


@pytest.mark.parametrize(
    ("told", "english", "spanish"),
    [
        (
            message("say-again", role="head", part="fraction", measurement="take"),
            "head, say again the hundredths of the first",
            "delantero, repita las centésimas de la primera",
        ),
        (
            message(
                "screen-call-parts",
                whole_by="rear",
                whole_who=message("crew-role", role="rear"),
                fraction_who=message("crew-role", role="head"),
                measurement="take",
            ),
            "rear: the whole foot, head: the hundredths of the first",
            "trasero: el pie entero, delantero: las centésimas, de la primera",
        ),
        (
            message("screen-call-parts", whole_by="unsaid", measurement="check"),
            "the whole foot, the hundredths of the check",
            "el pie entero y las centésimas de la segunda",
        ),
        (
            message(
                "screen-call-part",
                role="head",
                who=message("crew-role", role="head"),
                part="fraction",
                measurement="check",
            ),
            "head: the hundredths of the check",
            "delantero: las centésimas de la segunda",
        ),
        (
            message("key-one-digit", typed="15.4", whole="15", digit=4),
            "15.4 may be 15.04 or 15.40; type both digits",
            "15.4 puede ser 15.04 o 15.40; teclee las dos cifras",
        ),
        (
            message(
                "screen-question",
                role="unsaid",
                question=message("one-digit", said="5", digit=5),
            ),
            "crew: 5 may be .05 or .50; say both digits",
            "cuadrilla: 5 puede ser .05 o .50; diga las dos cifras",
        ),
        (
            message("log-booked", pull=1, length="33.87", booking="agreed"),
            "pull 1 recorded: 33.87 ft (agreed)",
            "tramo 1 anotado: 33.87 ft (cuadra)",
        ),
        (
            message(
                "screen-booked",
                pull=3,
                length="33.87",
                checked="yes",
                difference=-100,
                booking="first",
                by="chief",
            ),
            "pull 3: 33.87 ft, difference -1.00, first kept by chief",
            "tramo 3: 33.87 ft, diferencia -1.00, queda la primera por el jefe",
        ),
        (
            message("screen-strikes", opened=12, count=1),
            "strikes the last number, opens pull 12 again",
            "tacha el último número y abre otra vez el tramo 12",
        ),
        (
            message("screen-strikes", opened=0, count=3),
            "strikes 3 numbers",
            "tacha 3 números",
        ),
        (
            message("device-keypad", link="returned"),
            "keypad returned",
            "el teclado volvió",
        ),
        (
            message("clock-forward", seconds=7260),
            (
                "the computer's clock went forward by 2 h 1 min; times before and after cannot be"
                " compared"
            ),
            (
                "el reloj de la computadora se adelantó 2 h 1 min; las horas de antes y después no"
                " se comparan"
            ),
        ),
        (
            message("not-here", what="tape", number=3),
            "there is no tape number 3 here",
            "aquí no hay cinta número 3",
        ),
    ],
)
def test_sentence_is_told_whole_in_each_language(told: Message, english: str, spanish: str) -> None:
    """A sentence is one message: each language puts its facts where they belong."""
    assert ENGLISH.say(told) == english
    assert language_words("es").say(told) == spanish


@pytest.mark.parametrize(
    ("code", "facts", "one", "more"),
    [
        ("pull-waits-for-decision", {"pull": 1}, ", 1 call held", ", 2 calls held"),
        ("screen-verdict", {"verdict": "so"}, "so (1 call held)", "so (2 calls held)"),
        ("device-gone-on-with", {"status": "x"}, "1 call is in the job", "2 calls are in the job"),
        ("device-unsaved", {}, "1 call is not on disk", "2 calls are not on disk"),
        ("log-end", {"status": "x"}, "1 pull recorded; x.", "2 pulls recorded; x."),
    ],
)
def test_one_and_more_are_told_apart(
    code: str, facts: dict[str, Fact], one: str, more: str
) -> None:
    """No crew is told of "1 calls"."""
    (counted,) = messages_in(CATALOGUES["en"])[code] - facts.keys()
    assert ENGLISH(code, **facts, **{counted: 1}).endswith(one)
    assert ENGLISH(code, **facts, **{counted: 2}).endswith(more)


def texts_of(view: ViewText) -> str:
    """Give all that a view tells, but what was said."""
    told = (
        view.tape,
        view.expected,
        view.verdict,
        view.remedy,
        *view.conditions,
        *(way.does for way in view.may),
        *(call.who for call in view.calls),
    )
    return "\n".join(told)


@pytest.mark.parametrize(
    "said", [(), AGREED[:1], AGREED[:2], AGREED, STOPPED, (*STOPPED, "r: forty"), ("h: seven",)]
)
def test_screen_of_a_spanish_crew_has_no_english_left(said: tuple[str, ...]) -> None:
    """What is expected, what stands, what may be done, and every line of the log."""
    words = language_words("es")
    for rules in (settings(), settings(Style.FULL), settings(policy=CheckPolicy.WANTED)):
        replay = replayed(*said, line=rules)
        view = text_of(replay, commands=read_grammar("es-feet").commands, words=words)
        log = [
            "\n".join((event_line(event, words), *(consequence_line(e, words) for e in followed)))
            for event, followed in replay.recent
        ]
        shown = "\n".join((texts_of(view), *log))
        for call in replay.calls:
            shown = shown.replace(f" {call.text} ", " ")
        for english in ("the", "take", "check", "pull", "again", "head", "rear", "foot", "say"):
            assert not re.search(rf"\b{english}\b", shown), (english, shown)


@pytest.mark.parametrize("name", ["es-feet", "es-metric"])
def test_spanish_crew_hears_spanish(name: str) -> None:
    """A stop is heard in the crew's language and in the unit of its tape."""
    grammar = read_grammar(name)
    crew = Crew(Parser(grammar), line=settings(unit=grammar.unit))
    crew.hear("r: quince 0.99", "h: cuarenta y dos 0.99").say("h: cambiar extremos")
    known = len(crew.followed)
    crew.hear("h: dieciséis 0.99", "r: cuarenta y dos 0.99")
    heard = answer(grammar, crew.heard[-1], crew.followed[known:], calls=crew.heard)
    assert heard.tone is Tone.STOP
    unit = "metro" if grammar.unit is ReadingUnit.METRE else "pie"
    assert heard.words == f"alto, un {unit}"
    assert heard.rest.startswith("alto. tramo uno. primera quince punto cuarenta y dos, segunda")
    assert f"justo un {unit} de diferencia" in heard.rest
    assert say_text(grammar, "2 lb, 3 m") == "dos libras, tres metros"


def test_conditions_are_told_in_the_unit_of_the_tape() -> None:
    """A metric crew reads Celsius, newtons and metres of what is kept in other units."""
    known = Conditions(
        temperature_degf=68.0, tension_lb=11.25, spans=3, position="knee", rise_ft=1.0, hold=100
    )
    assert conditions_in_words(known, ENGLISH) == (
        "temperature 68 F",
        "tension 11.25 lb",
        "3 equal spans",
        "rise 1 ft",
        "at the knee",
        "holding 1 ft",
    )
    metric = conditions_in_words(known, ENGLISH.measured_in(ReadingUnit.METRE))
    assert (metric[0], metric[3], metric[5]) == ("temperature 20 C", "rise 0.3048 m", "holding 1 m")
    assert metric[1].startswith("tension 50.0")
    assert metric[1].endswith(" N")


def test_commands_tell_a_metric_job_of_metres(tmp_path: Path) -> None:
    """What is heard, asked why and decided in English is told in the unit of the job."""
    heard = unclear("forty", 1.0, message("words-beyond-tape", said="forty", tape=30))
    assert (
        FileHeard("x.flac", 1, heard, ReadingUnit.METRE).reason == "forty is beyond this 30 m tape"
    )
    folder = tmp_path / "job"
    with Job.open(folder) as job:
        job.begin_line(line(style=Style.ADD), METRIC_TAPE.model_copy(update={"style": Style.ADD}))
    waits = "pull 1 waits for the first"
    with pytest.raises(ConfigError, match=waits):
        weigh_pull(folder, 1)
    with Job.open(folder) as job:
        Paper(job).call(Kind.FRACTION, value=42, text="forty two")
    waits = "pull 1 waits for the whole meter of the first"
    with pytest.raises(ConfigError, match=waits):
        weigh_pull(folder, 1)
    with pytest.raises(ConfigError, match=waits):
        decide(folder, 1, Choice.FIRST)


def test_screen_and_chiefs_page_speak_the_crews_language(tmp_path: Path) -> None:
    """One language for who works, on whatever they look at."""
    grammar, phones = read_grammar("es-feet"), Phones()
    with Job.open(tmp_path / "job") as job:
        rig = Rig(job, grammar, Parser(grammar), phones=phones)
        rig.loop.greet(message("log-caution"), is_gone_on_with=True)
        told = status(job.state)
        crew, chief = rig.screen.views[-1], phones.shown[-1]
        assert crew.expected.startswith("trasero: el pie entero, delantero: las centésimas")
        assert chief.expected == crew.expected
        assert language_words("es").say(told) in crew.notices[-1]
        assert chief.notices == crew.notices
        assert crew.microphones[0].name == "delantero"
        assert chief.microphones[0].name == "delantero"
        (tmp_path / "job").rename(tmp_path / "away")
        rig.say("quince", 1)
        assert phones.withheld[-1].verdict == "1 lectura no está en el disco"
        assert rig.screen.views[-1].verdict == "1 lectura no está en el disco"
        assert rig.screen.views[-1].remedy.startswith("detenga el trabajo")
        (tmp_path / "away").rename(tmp_path / "job")


def test_crew_of_a_language_that_the_program_does_not_speak_is_told_in_english(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody's own grammar is answered in words, not in codes."""
    text, _ = resources.grammar_text()
    (tmp_path / "fr-pieds.toml").write_text(text.replace('language = "en-US"', 'language = "fr"'))
    monkeypatch.setattr(resources, "grammar_folder", lambda: tmp_path)
    grammar = read_grammar("fr-pieds")
    assert grammar.language == "fr"
    assert grammar.words("told-held", pull="one") == "held. pull one waits"


@pytest.mark.parametrize("name", ["es-feet", "es-metric"])
def test_card_of_a_spanish_crew_has_no_english_left(name: str) -> None:
    """The printed card is told wholly in the language and the unit of its grammar."""
    card = card_html(read_grammar(name))
    assert "cambiar extremos" in card
    for english in ("call", "pull", "tape", "hundredths"):
        assert not re.search(rf"\b{english}\b", card), english
    assert "es Enter" in card, "as the key is marked"
    assert not re.search(r"\b(card|keys)-[a-z]", card)
    assert ("metro entero" in card) is (name == "es-metric")

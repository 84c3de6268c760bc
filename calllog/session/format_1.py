"""Entries of format 1 of the journal, which kept English sentences, in; what they say today out.

Format 1 wrote what follows from the calls in words, and compared it letter by letter. Its
sentences are frozen in ``format-1.ftl``, so a job of that format is compared as strictly as ever,
whatever the program says today. Only a reason that a call was journalled with is an input; it is
read back into its code by the same sentences, so that it too is told in any language.
"""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from pydantic import JsonValue

from calllog.values import (
    Fact,
    Finding,
    Frozen,
    Message,
    Question,
    ReadingUnit,
    Segment,
    message,
)
from calllog.wording.catalogue import Words

FORMAT = 1
AS_WRITTEN = "as-written"
"""Code of a reason of which only the words are known."""
_METRIC = {"foot": "metre", "feet": "metres", "ft": "m", "lb": "N", "pounds": "newtons"} | {
    "degF": "degC",
    "°F": "°C",
    "Fahrenheit": "Celsius",
}
"""What the words of a reason became on a metric tape."""
_FOOT = re.compile(r"(?<![\w{])(?:" + "|".join(_METRIC) + r")(?![\w}])")
_NO_REASON = '"reason":""'
_UNITS = (ReadingUnit.FOOT, ReadingUnit.METRE)
_INTEGER, _WORDS, _READING = r"\d+", r".+", r"\d+\.\d\d"
_REASONS: Mapping[str, Mapping[str, str]] = {
    "no-call-made-out": {},
    "crew-talk": {},
    "remark-kept": {},
    "nothing-said": {},
    "call-breaks-off": {},
    "sound-was-lost": {},
    "said-under-voice": {},
    "station-form": {},
    "station-hundreds": {},
    "station-side": {},
    "station-plus": {},
    "not-sure-of": {"said": _WORDS},
    "not-a-call-word": {"word": _WORDS},
    "word-does-not-belong": {"word": _WORDS},
    "beyond-tape": {"reading": _READING, "tape": _INTEGER},
    "words-beyond-tape": {"said": _WORDS, "tape": _INTEGER},
    "is-hundredths": {"said": _WORDS},
    "is-whole": {"said": _WORDS},
    "is-part": {"said": _WORDS},
    "station-one-digit": {"said": _WORDS, "digit": _INTEGER},
    "one-digit": {"said": _WORDS, "digit": _INTEGER},
    "offset-form": {"side": "left|right"},
    "offset-beyond": {"most": _INTEGER},
    "after-comes-reading": {"before": _WORDS},
    "after-comes-number": {"before": _WORDS},
}
"""Codes of the reasons that a call could have, with what each of their facts looked like."""
_MOST_MEANINGS = 4
_SAMPLE = 98_765_432
"""A reading that stands for any while a sentence is turned into a pattern."""


class _Pattern(NamedTuple):
    """A sentence as it was written, its facts to be found in it."""

    code: str
    kinds: Mapping[str, str]
    fixed: Mapping[str, Fact]
    found: re.Pattern[str]


def content_in_format_1(value: Frozen, unit: ReadingUnit) -> JsonValue:
    """Give what format 1 wrote for something that followed from the calls."""
    content: dict[str, JsonValue] = json.loads(value.model_dump_json())
    match value:
        case Question():
            del content["asks"]
            return {**content, "words": _said(value.asks, unit)}
        case Finding():
            return _finding(value, content, unit)
        case Segment():
            inside = [
                _finding(each, json.loads(each.model_dump_json()), unit) for each in value.findings
            ]
            return {**content, "findings": inside}
    return content


def body_of_today(kind: str, body: str) -> str:
    """Give the body of an input of format 1 as it is read today."""
    if kind in _TURNED:
        return _TURNED[kind](body)
    if kind != "call":
        return body
    if _NO_REASON in body:  # a text that says so has its quotation marks escaped
        return body.replace(_NO_REASON, '"reason":null')
    content = json.loads(body)
    if not (isinstance(content, dict) and isinstance(content.get("reason"), str)):
        return body
    reason = json.loads(reason_of(content["reason"]).model_dump_json())
    return json.dumps({**content, "reason": reason}, ensure_ascii=False)


def _rescue_of_today(body: str) -> str:
    """Keep what was wrong in the words that it was told in."""
    content = json.loads(body)
    if not (isinstance(content, dict) and isinstance(wrong := content.get("wrong"), str)):
        return body
    told = {"code": AS_WRITTEN, "facts": {"text": wrong}} if wrong else None
    return json.dumps({**content, "wrong": told}, ensure_ascii=False)


def _clock_of_today(body: str) -> str:
    """Find which jump was told of."""
    content = json.loads(body)
    if not (isinstance(content, dict) and isinstance(words := content.get("words"), str)):
        return body
    code = next((code for code, said in _JUMPS.items() if said in words), "")
    return json.dumps({**content, "code": code}, ensure_ascii=False)


_TURNED = {"rescued": _rescue_of_today, "clock": _clock_of_today}
_JUMPS = {
    "clock-forward": "clock went forward",
    "clock-back": "clock went back",
    "clock-before-last-entry": "before the job's last entry",
}
"""What the sentence about each jump of the clock had that no other had."""


def reason_of(text: str) -> Message:
    """Find the code and the facts of a reason that was kept in words."""
    for pattern in _patterns():
        if (found := pattern.found.fullmatch(text)) is None:
            continue
        facts = {name: _fact(pattern.kinds[name], said) for name, said in found.groupdict().items()}
        read = Message(code=pattern.code, facts={**pattern.fixed, **facts})
        if any(format_1_words().measured_in(unit).say(read) == text for unit in _UNITS):
            return read
    return message(AS_WRITTEN, text=text)


def _finding(value: Finding, content: dict[str, JsonValue], unit: ReadingUnit) -> JsonValue:
    words = format_1_words().measured_in(unit)
    kept = {name: each for name, each in content.items() if name != "facts"}
    return {**kept, "words": words.finding(value), "remedy": words.remedy(value)}


def _said(asks: Message, unit: ReadingUnit) -> str:
    if asks.code == AS_WRITTEN:
        text = str(asks.facts["text"])
        return text if unit.is_feet else _FOOT.sub(lambda found: _METRIC[found.group()], text)
    return format_1_words().measured_in(unit).say(asks)


@cache
def format_1_words() -> Words:
    """Give the sentences that format 1 was written in."""
    path = Path(__file__).parent / "format-1.ftl"
    return Words("en", lambda: path.read_text(encoding="utf-8"), write_float=str)


@cache
def _patterns() -> tuple[_Pattern, ...]:
    return tuple(_made())


def _made() -> Iterator[_Pattern]:
    meanings = [f"may_be_{number}" for number in range(1, _MOST_MEANINGS + 1)]
    several = [
        ("may-be", {"said": _WORDS, **dict.fromkeys(meanings[:count], r"\S+")}, {"count": count})
        for count in range(1, _MOST_MEANINGS + 1)
    ]
    for code, kinds, fixed in (*((code, each, {}) for code, each in _REASONS.items()), *several):
        for unit in _UNITS:
            marks: dict[str, Fact] = {
                name: _SAMPLE if kind == _READING else f"\x01{name}\x02"
                for name, kind in kinds.items()
            }
            text = format_1_words().measured_in(unit)(code, **marks, **fixed)
            yield _Pattern(code, kinds, fixed, re.compile(_pattern(text, kinds), re.DOTALL))


def _pattern(text: str, kinds: Mapping[str, str]) -> str:
    """Turn a sentence with marks for its facts into a pattern that finds them."""
    pattern = re.escape(text)
    for name, kind in kinds.items():
        mark = f"{_SAMPLE / 100:.2f}" if kind == _READING else f"\x01{name}\x02"
        named = re.escape(mark)
        pattern = pattern.replace(named, f"(?P<{name}>{kind})", 1).replace(named, f"(?P={name})")
    return pattern


def _fact(kind: str, said: str) -> Fact:
    if kind == _READING:
        return int(said.replace(".", ""))
    return int(said) if kind == _INTEGER else said

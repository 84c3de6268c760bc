"""The command `why`: what was heard of a pull, how it was weighed, and what that decided."""

from pathlib import Path
from typing import Annotated, Any

import typer

from calllog.commands.terminal import asked_messages, out, print_json
from calllog.decoding import CalledPart, Part
from calllog.decoding.blunders import SAME
from calllog.office import WeighedPull, weigh_pull
from calllog.office.weighed import AskedPart
from calllog.pairing import code_in
from calllog.pairing.asking import TAKE_OR_CHECK
from calllog.panel.words import caller
from calllog.report import named
from calllog.units import in_unit
from calllog.values import Call
from calllog.wording import ENGLISH, Words

EXPLANATIONS = 5
LISTED = 4
"""Alternatives of a call that are printed; all are in the JSON."""


def why(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    pull: Annotated[int, typer.Argument(metavar="PULL", min=1, help="Number of the pull.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Show why a pull was recorded, asked about or stopped.

    Lists what else each call may have been, as heard and as calibrated; then the likeliest first
    and check together; then what each decision would have cost, counted in questions.

    Example: calllog why demo-job 3
    """
    found = weigh_pull(job_folder, pull)
    if as_json:
        print_json(_document(found))
    else:
        for line in _lines(found):
            out.print(line)


def _lines(found: WeighedPull) -> list[str]:
    weighing, unit = found.weighing, found.unit
    words = asked_messages().measured_in(unit)
    booked = (
        f"recorded {in_unit(found.segment.length_read_ft, unit):.2f} {unit.symbol}"
        f" ({found.segment.booking.value})"
        if found.segment
        else words.say(found.waits)
    )
    lines = [f"pull {found.pull}: {booked}" if found.segment else booked]
    if not found.decided:
        lines.append("decided by best hypotheses; weighed here as a new line would be")
    calls = {each.number: each for each in found.calls}
    for name, observed, utterances in (
        ("first", found.take, weighing.take),
        ("check", found.check, weighing.check),
    ):
        if observed is not None:
            lines.append(f"{name} {observed.length / 100:.2f}")
            lines += [_call_line(calls[each.call], each, words) for each in utterances]
    lines += [f"asked: {_asked(each, words)}" for each in found.asked]
    best = weighing.posterior.best(EXPLANATIONS)
    if best:
        lines.append("most likely")
    lines += [
        f"  {_share(each.probability)}  {_blunder(each.code, words):18} first {each.take / 100:.2f}"
        f"  check {each.check / 100:.2f}"
        for each in best
    ]
    verdict, weighed = weighing.verdict, weighing.weighed
    lines.append(f"  {_share(weighed.wrong)}  that the length is wrong beyond the tolerance")
    lines.append(f"  {_share(weighed.near)}  that it is wrong within the tolerance")
    if weighed.is_checked:
        apart = f"{unit.text(found.tolerance)} {unit.symbol}"
        lines.append(
            f"  {_share(weighed.agree)}  that first and check were called within {apart} of each"
            " other"
        )
    lines += [
        f"  {_share(each.probability)}  "
        + words("log-misheard", part=each.part.value, measurement=TAKE_OR_CHECK[each.is_take])
        for each in weighed.doubts
    ]
    lines.append(f"decision: {verdict.action.value}; costs in questions")
    lines += [f"  {cost:10.4f}  {action.value}" for action, cost in verdict.costs.items()]
    return lines


def _asked(asked: AskedPart, words: Words) -> str:
    """Name what was asked for again, such as "the hundredths of the first"."""
    of = {"measurement": TAKE_OR_CHECK[asked.is_take]}
    if asked.part is Part.READING:
        return words("screen-call-reading", **of)
    return words("screen-call-part", role="unsaid", who="", part=asked.part.value, **of)


def _blunder(code: str, words: Words) -> str:
    """Name a blunder in words; two lengths alike are none."""
    return words("log-same") if code == SAME else words.named(code_in(code, words.unit))


def _call_line(call: Call, heard: CalledPart, words: Words) -> str:
    who = f"{caller(call.role, words):6}"
    if call.is_keyed:
        return f"  call {call.number}  {who} {call.text}: typed"
    raw = dict(heard.heard)
    listed = sorted(heard.likely, key=lambda each: -each[1])[:LISTED]
    said = ", ".join(
        f"{_figures(heard.part, value)} {_percent(raw.get(value))} -> {share:.1%}"
        for value, share in listed
    )
    return f"  call {call.number}  {who} {call.text}: {said}; other {heard.rest:.1%}"


def _percent(heard: float | None) -> str:
    """Write how surely a value was heard; that of another kind was not heard as this one."""
    return "not heard as this" if heard is None else f"{heard:.1%}"


def _figures(part: Part, value: int) -> str:
    return {
        Part.WHOLE: f"{value}",
        Part.FRACTION: f".{value:02d}",
        Part.READING: f"{value / 100:.2f}",
    }[part]


def _share(probability: float) -> str:
    return f"{probability:9.2e}" if probability < 1e-3 else f"{probability:9.5f}"  # noqa: PLR2004


def _document(found: WeighedPull) -> dict[str, Any]:
    weighing = found.weighing
    calls = {each.number: each for each in found.calls}
    codes = weighing.posterior.codes
    observations = (("take", found.take, weighing.take), ("check", found.check, weighing.check))
    return {
        "pull": found.pull,
        named("booked_ft", found.unit): in_unit(found.segment.length_read_ft, found.unit)
        if found.segment
        else None,
        "booking": found.segment.booking.value if found.segment else None,
        "waits": ENGLISH.measured_in(found.unit).say(found.waits),
        "decided_by_weighing": found.decided,
        **{
            name: {
                "length_hundredths": observed.length,
                "calls": [_call_json(calls[each.call], each) for each in utterances],
            }
            if observed
            else None
            for name, observed, utterances in observations
        },
        "asked": [
            f"{'the first' if each.is_take else 'the check'}: {each.part.value}"
            for each in found.asked
        ],
        "explanations": [
            {
                "code": code_in(each.code, found.unit),
                "take_hundredths": each.take,
                "check_hundredths": each.check,
                "probability": each.probability,
            }
            for each in weighing.posterior.best(EXPLANATIONS)
        ],
        "codes": {code_in(code, found.unit): share for code, share in codes.items()},
        "probability_wrong": weighing.weighed.wrong,
        "probability_wrong_within_tolerance": weighing.weighed.near,
        "probability_within_tolerance_of_each_other": weighing.weighed.agree,
        "tolerance_hundredths": found.tolerance,
        "doubts": [
            {
                "of": "take" if each.is_take else "check",
                "part": each.part.value,
                "probability": each.probability,
                "asked": each.asked,
            }
            for each in weighing.weighed.doubts
        ],
        "decision": weighing.verdict.action.value,
        "costs_questions": {action.value: cost for action, cost in weighing.verdict.costs.items()},
    }


def _call_json(call: Call, heard: CalledPart) -> dict[str, Any]:
    return {
        "call": call.number,
        "role": call.role.value,
        "text": call.text,
        "typed": call.is_keyed,
        "part": heard.part.value,
        "heard": call.model_dump(mode="json", include={"alternatives"})["alternatives"],
        "calibrated": [{"value": value, "probability": share} for value, share in heard.likely],
        "other": heard.rest,
    }

"""The table of what the listener makes of test voices, from what `hear_all` kept.

``python -m tests.bench.bench_listeners FOLDER [STEP ...]``: the voices speak, listeners hear them,
the table is made (`STEPS`, all by default). What another build heard is thrown away first; what
this one heard already is kept. For each condition, calls of whole feet and
hundredths together: right, taken and wrong, refused (asked, ignored or missed), right within the
three likeliest meanings, and taken and wrong where the threshold is set so that 5 % are refused;
and how many of the sentences that are no calls were taken as one; free dictation beside it, where
`hear_all` asked it. Without a folder the same of the crew benchmark's calls (`crew_corpus`), which
are more and in the repository, without the last two.
"""

from __future__ import annotations

import shutil
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from calllog.recognise import Hypothesis, understand
from calllog.recognise.evidence import hypotheses
from calllog.values import Kind, Outcome
from tests.bench.bench_recognition import Answer
from tests.bench.crew_corpus import CONDITIONS as CREW_CONDITIONS
from tests.bench.crew_corpus import LISTENERS as CREW_LISTENERS
from tests.bench.crew_corpus import PATHS, SaidCall, load_corpus
from tests.bench.fit_encoder import LIMIT, PARSER, Case, cases, confidence, reliability
from tests.bench.hear_all import CONDITIONS, DICTATION, ENCODER, HeardThing, load
from tests.bench.hear_all import main as hear_all
from tests.measured.results import build, keep

REFUSED = 0.05

STEPS = ("speak", ENCODER, DICTATION, "table")
PROCESSES = "2"
STAMP = "build.txt"
"""Names the program that spoke and heard."""


def encoder(case: Case) -> Sequence[Hypothesis]:
    """Weigh as calllog does."""
    return hypotheses(case.encoder)


def answer(heard: HeardThing) -> Answer:
    """Understand each utterance as in the field."""
    found = (hypotheses(each) for each in heard.encoder)
    understood = (understand(PARSER, each, heard.expects, LIMIT) for each in found)
    return Answer(heard.said, tuple(understood))


def counted(heard: Sequence[HeardThing]) -> dict[str, object]:
    """Count the answers under one condition."""
    calls = [h for h in heard if h.said.kind in (Kind.WHOLE, Kind.FRACTION)]
    answers = [answer(h) for h in calls]
    n = len(answers)
    right = sum(a.verdict == "right" for a in answers)
    wrong = sum(a.verdict == "wrong" for a in answers)
    near = sum(a.is_near for a in answers)
    sure = [confidence(encoder(case), case) or (0.0, False) for case in cases(calls)]
    talk = [answer(h) for h in heard if h.said.kind is Kind.CHATTER]
    taken = sum(any(h.outcome is Outcome.CALL for h in a.heard) for a in talk)
    parts = {
        "right %": right,
        "wrong %": wrong,
        "refused %": n - right - wrong,
        "in top 3 %": near,
        "wrong where 5 % are refused %": wrong_at_equal(sure, n),
    }
    shares = {name: round(100.0 * each / n, 1) for name, each in parts.items()}
    return {"n": n, **shares, "talk taken": f"{taken} of {len(talk)}"}


def dictated(heard: Sequence[HeardThing]) -> dict[str, object]:
    """Count the answers of free dictation under one condition."""
    answers = [
        Answer(h.said, tuple(understand(PARSER, each, h.expects, LIMIT) for each in h.dictation))
        for h in heard
        if h.said.kind in (Kind.WHOLE, Kind.FRACTION)
    ]
    right, wrong = (
        round(100.0 * sum(a.verdict == verdict for a in answers) / len(answers), 1)
        for verdict in ("right", "wrong")
    )
    rest = round(100.0 - right - wrong, 1)
    return {"n": len(answers), "right %": right, "wrong %": wrong, "refused %": rest}


def wrong_at_equal(sure: Sequence[tuple[float, bool]], n: int) -> int:
    """Count the wrong ones that are taken where 5 % are refused.

    Args:
        sure: how likely each call was taken to be, and whether it was right.
        n: how many calls there were; what is missing was not heard as one.
    """
    kept = sorted(sure, key=lambda each: -each[0])[: round(n * (1.0 - REFUSED))]
    return sum(not is_right for probability, is_right in kept if probability > 0.0)


def of_crew_calls(calls: Sequence[SaidCall]) -> dict[str, float]:
    """Count one listener's answers to the crew benchmark's calls under one condition."""
    n = len(calls)
    verdicts = Counter(call.verdict for call in calls)
    sure = []
    for call in calls:
        if len(call.heard) == 1 and call.heard[0].alternatives:
            best = max(call.heard[0].alternatives, key=lambda each: each.probability)
            if best.kind is not Kind.CHATTER:
                is_right = (best.kind, best.value) == (call.kind, call.value)
                sure.append((best.probability, is_right))
    right, wrong = (100.0 * verdicts[each] / n for each in ("right", "wrong"))
    at_equal = wrong_at_equal(sure, n)
    return {
        "n": n,
        "right %": round(right, 1),
        "wrong %": round(wrong, 1),
        "refused %": round(100.0 - right - wrong, 1),
        "wrong where 5 % are refused": at_equal,
    }


def crew_main() -> None:
    """Print the table of the crew benchmark's calls."""
    found: dict[str, dict[str, float]] = {}
    corpora = {listener: load_corpus(PATHS[listener]) for listener in CREW_LISTENERS}
    for condition in CREW_CONDITIONS:
        for listener, corpus in corpora.items():
            calls = [
                call
                for call in corpus.calls
                if call.condition == condition
                and call.voice in corpus.test
                and call.kind is not Kind.READING
            ]
            found[f"{condition}, {listener}"] = of_crew_calls(calls)
    voices = next(iter(corpora.values())).test
    keep("listeners", {"calls": found}, n="as each row says", voices=voices)


def do(folder: Path, steps: Sequence[str]) -> None:
    """Do steps of the table, from nothing if another build did them last."""
    stamp = folder / STAMP
    if not stamp.exists() or stamp.read_text("utf-8") != build():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        stamp.write_text(build(), "utf-8")
    for step in steps or STEPS:
        match step:
            case "speak":
                hear_all("speak", "test", folder, PROCESSES)
            case "table":
                main(folder)
            case listener:
                hear_all("hear", "test", folder, listener, PROCESSES)


def main(folder: Path) -> None:
    """Count for all voices together, then the right and wrong ones of each voice."""
    heard = load(folder, "test")
    voices = list(dict.fromkeys(h.voice for h in heard))
    conditions = [c for c in CONDITIONS if any(h.condition == c for h in heard)]
    together: dict[str, dict[str, object]] = {}
    apart: dict[str, dict[str, object]] = {}
    for condition in conditions:
        here = [h for h in heard if h.condition == condition]
        together[f"{condition}, encoder"] = counted(here)
        if any(h.dictation for h in here):
            together[f"{condition}, dictation"] = dictated(here)
    for voice in voices:
        cells: dict[str, object] = {}
        for condition in conditions:
            here = [h for h in heard if h.condition == condition and h.voice == voice]
            found = counted(here)
            cells[condition] = f"{found['right %']} / {found['wrong %']}"
        apart[voice] = cells
    keep(
        "ten-voices",
        {
            "all voices": together,
            "each voice: right / wrong [%]": apart,
            "calibration": {"encoder": reliability(encoder, cases(heard))},
        },
        n="as each row says",
        voices=voices,
    )


if __name__ == "__main__":
    if len(sys.argv) > 1:
        do(Path(sys.argv[1]), sys.argv[2:])
    else:
        crew_main()

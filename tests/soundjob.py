"""A job with the sounds of two people who agreed to that, for the tests of consent and removal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from calllog.audio import Utterance
from calllog.recognise import Hypothesis
from calllog.session import Course, Job, Recorder, Told
from calllog.spoken import Parser
from calllog.values import Role
from tests.consenting import agree
from tests.crew import settings as line
from tests.test_session_job import PaperClock
from tests.test_session_live import ADD

ROLES = (Role.HEAD, Role.REAR)
PULL = ((1, "fifteen"), (0, "forty two"), (0, "switch ends"), (0, "fifteen"), (1, "forty two"))
"""One pull, its check after switching ends: channel and words."""
HEAD_CALLS, REAR_CALLS = (2, 3, 4), (1, 5)
"""Numbers of its calls by whose microphone heard them; the fourth is called for the other end."""


class Crew:
    """Says words into two microphones; each utterance has a sound of its own."""

    def __init__(
        self, job: Job, parser: Parser, *, sitting: int = 1, keeps_talk: bool = False
    ) -> None:
        self.told: list[Told] = []
        course = Course((ADD,), (("A", "B"),), line())
        course.go_on(job)
        job.note("sitting", {"number": sitting, "roles": [role.value for role in ROLES]})
        self._at_s = 0.0
        self.recorder = Recorder(
            job,
            course,
            parser,
            source=f"live-{sitting}",
            roles=ROLES,
            keeps_clips=True,
            keeps_talk=keeps_talk,
            on_told=self.told.append,
        )

    def say(self, *said: tuple[int, str]) -> Crew:
        """Say words, each on a channel."""
        for channel, words in said:
            self._at_s += 3.0
            generator = np.random.default_rng(round(self._at_s))
            samples = generator.normal(0.0, 0.1, 800).astype(np.float32)
            utterance = Utterance(
                samples, samples[:0], self._at_s, self._at_s + 1.0, channel, "x", is_cut=False
            )
            if self.recorder.is_remark(utterance):
                self.recorder.record_remark(utterance)
                continue
            expected = self.recorder.expects_of(utterance)
            self.recorder.record_heard(utterance, expected, (Hypothesis(words, 1.0),))
        return self

    def write(self, text: str) -> Crew:
        """Type a remark on a phone."""
        self._at_s += 3.0
        self.recorder.record_written(text, self._at_s, phone="Chief")
        return self


def sound_job(
    folder: Path,
    parser: Parser,
    said: Sequence[tuple[int, str]] = PULL,
    *,
    remark: str = "",
    **terms: object,
) -> Path:
    """Make a job of what was said, with everyone's consent, and a typed remark at its end."""
    with Job.open(folder, PaperClock()) as job:
        crew = Crew(agree(job, **terms), parser)  # type: ignore[arg-type]
        crew.say(*said)
        if remark:
            crew.write(remark)
    return folder

"""A recording in, its calls in the job: listen, understand, keep the clip, record, pair."""

import hashlib
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from calllog.audio import Recording, Utterance, utterances
from calllog.errors import ConfigError
from calllog.recognise import Recogniser
from calllog.session.clock import local_zone
from calllog.session.course import Course
from calllog.session.job import Job
from calllog.session.recorder import Recorder, Told
from calllog.spoken import Parser
from calllog.values import Call, Expectation, Kind, Role

HEARD_AGAIN = 24
"""Utterances of each channel that a recogniser hears again before it goes on: a listener follows
each voice, and what was said longer ago counts for little (see `calllog.recognise`)."""


@dataclass(frozen=True, slots=True)
class Listener:
    """What it takes to listen.

    Args:
        recogniser: hears.
        parser: says what the words mean.
        roles: who wears each channel's microphone; one ``unsaid`` where one serves both.
        course: the tapes and lines that the crew may change to.
        keeps_clips: whether the sound of each utterance stays in the job, where consent is given.
        keeps_talk: whether sound and words of talk that is no call stay too.
    """

    recogniser: Recogniser
    parser: Parser
    roles: tuple[Role, ...]
    course: Course
    keeps_clips: bool = True
    keeps_talk: bool = False


def hear_recording(
    job: Job,
    path: Path,
    listener: Listener,
    *,
    on_told: Callable[[Told], None] = lambda _: None,
    on_progress: Callable[[float], None] | None = None,
) -> int:
    """Take a recording into a job; one that was broken off is gone on with where it stopped.

    Args:
        job: the job, with its line begun.
        path: the recording.
        listener: how to listen.
        on_told: told each call and what followed, after both are on disk.
        on_progress: told the seconds listened to so far.

    Returns:
        Number of utterances taken in now.

    Raises:
        AudioError: the recording cannot be read, or breaks off; what came before is in the job.
        ConfigError: its channels do not fit the roles, or the job has another one of its name.
    """
    recording = Recording(path)
    if recording.channels != len(listener.roles):
        named = ",".join(role.value for role in listener.roles)
        raise ConfigError(
            f"{recording.channels} channels, but --channels names {len(listener.roles)} ({named})",
            where=str(path),
            next_step="give one role a channel: --channels head,rear; one microphone: unsaid",
        )
    _note_recording(job, path, recording, listener.roles)
    recorder = Recorder(
        job,
        listener.course,
        listener.parser,
        source=path.name,
        roles=listener.roles,
        keeps_clips=listener.keeps_clips,
        keeps_talk=listener.keeps_talk,
        on_told=on_told,
    )
    known: dict[str, list[Call]] = {}
    for call in job.replay.calls:
        known.setdefault(call.source, []).append(call)
    passed: dict[int, deque[tuple[Utterance, Expectation]]] = {
        channel: deque(maxlen=HEARD_AGAIN) for channel, _ in enumerate(listener.roles)
    }
    taken = 0
    for utterance in utterances(recording, on_progress=on_progress):
        source = recorder.source_of(utterance.channel)
        before = _known_of(known.get(source, []), round(utterance.start_s, 3))
        if before is not None:
            recorder.pass_over(utterance, before)
            if before.kind is not Kind.REMARK:
                passed[utterance.channel].append((utterance, before.expects))
            continue
        if recorder.is_remark(utterance):
            recorder.record_remark(utterance)
        else:
            _hear_again(listener.recogniser, passed)
            _hear(recorder, listener.recogniser, utterance)
        taken += 1
    return taken


def _known_of(calls: Sequence[Call], start_s: float) -> Call | None:
    """Find the call that an utterance is part of, two figures apart being one call; None if new."""
    return next((each for each in calls if each.start_s <= start_s < each.end_s), None)


def _hear(recorder: Recorder, recogniser: Recogniser, utterance: Utterance) -> None:
    """Hear an utterance; with the figure before it, if both are one number."""
    if (joined := recorder.rejoined(utterance)) is not None:
        both, expected = joined
        hypotheses = recogniser.recognise(both, expected)
        if recorder.is_one_number(both, expected, hypotheses):
            recorder.record_heard(both, expected, hypotheses)
            return
    expected = recorder.expects_of(utterance)
    recorder.record_heard(utterance, expected, recogniser.recognise(utterance, expected))


def _hear_again(
    recogniser: Recogniser, passed: Mapping[int, deque[tuple[Utterance, Expectation]]]
) -> None:
    """Let a recogniser that is begun anew get used to the voices, as it was before; once."""
    for utterance, expected in sorted(
        (each for waiting in passed.values() for each in waiting), key=lambda each: each[0].start_s
    ):
        recogniser.recognise(utterance, expected)
    for waiting in passed.values():
        waiting.clear()


def _note_recording(job: Job, path: Path, recording: Recording, roles: tuple[Role, ...]) -> None:
    """Record which file is taken in and who wears its microphones; refuse another of its name."""
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    before = job.replay.recordings.get(path.name)
    if before is not None and before != digest:
        raise ConfigError(
            "the job already holds another recording of this name",
            where=str(path),
            next_step="rename the file, so that each call can be traced to its recording",
        )
    if before is None or job.replay.voices.roles.get(path.name) != roles:
        job.note(
            "recording",
            {
                "name": path.name,
                "sha256": digest,
                "channels": recording.channels,
                "duration_s": recording.duration_s,
                "roles": [role.value for role in roles],
                "zone": local_zone(),
            },
        )


def parse_roles(named: Sequence[str]) -> tuple[Role, ...]:
    """Read who wears each channel's microphone; ConfigError if one is no role, or there twice."""
    known = {role.value: role for role in Role}
    roles = tuple(known[name] for name in named if name in known)
    if len(roles) != len(named) or len(set(roles)) != len(roles) or not roles:
        raise ConfigError(
            f"{','.join(named)!r} does not say who wears each microphone",
            where="--channels",
            next_step="say head,rear or rear,head for two channels, unsaid for one",
        )
    return roles

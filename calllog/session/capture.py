"""A recording in, its calls in the job: listen, understand, keep the clip, record, pair."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from calllog.audio import Recording, Utterance, utterances, write_clip
from calllog.errors import ConfigError
from calllog.lines import awaits_remark
from calllog.pairing import caller_at, expects
from calllog.recognise import Recogniser, remark, understand
from calllog.session.job import Job
from calllog.spoken import Parser
from calllog.values import Call, Consequence, Role

OnCall = Callable[[Call, tuple[Consequence, ...]], None]


@dataclass(frozen=True, slots=True)
class Listener:
    """What it takes to listen.

    Args:
        recogniser: hears.
        parser: says what the words mean.
        roles: who wears each channel's microphone; one ``unsaid`` where one serves both.
        keeps_clips: whether the sound of each utterance stays in the job.
    """

    recogniser: Recogniser
    parser: Parser
    roles: tuple[Role, ...]
    keeps_clips: bool = True


def take_recording(
    job: Job,
    path: Path,
    listener: Listener,
    *,
    on_call: OnCall = lambda _call, _consequences: None,
    on_progress: Callable[[float], None] | None = None,
) -> int:
    """Take a recording into a job; one that was broken off is gone on with where it stopped.

    Args:
        job: the job, with its line begun.
        path: the recording.
        listener: how to listen.
        on_call: told each call and what followed, after both are on disk.
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
    _note_recording(job, path, recording)
    known = {(call.source, call.start_s) for call in job.replay.calls}
    taken = 0
    for utterance in utterances(recording, on_progress=on_progress):
        source = f"{path.name}#{utterance.channel + 1}"
        if (source, round(utterance.start_s, 3)) in known:
            continue
        call = _hear(job, utterance, listener, source)
        on_call(call, job.take(call))
        taken += 1
    return taken


def _note_recording(job: Job, path: Path, recording: Recording) -> None:
    """Record which file is taken in; refuse another one of the same name."""
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    before = job.replay.recordings.get(path.name)
    if before is not None and before != digest:
        raise ConfigError(
            "the job already holds another recording of this name",
            where=str(path),
            next_step="rename the file, so that each call can be traced to its recording",
        )
    if before is None:
        job.note(
            "recording",
            {
                "name": path.name,
                "sha256": digest,
                "channels": recording.channels,
                "duration_s": recording.duration_s,
            },
        )
        job.replay.recordings[path.name] = digest


def _hear(job: Job, utterance: Utterance, listener: Listener, source: str) -> Call:
    """Understand one utterance as the state of the pull expects it, and keep its clip."""
    state = job.state
    wearer = listener.roles[utterance.channel]
    expected = expects(state, wearer)
    if awaits_remark(job.replay.calls, source, round(utterance.start_s, 3)):
        heard = remark(is_kept=listener.keeps_clips)
    else:
        hypotheses = listener.recogniser.recognise(utterance, expected)
        heard = understand(listener.parser, hypotheses, expected, state.settings.limit)
    number = len(job.replay.calls) + 1
    clip, digest = "", ""
    if listener.keeps_clips:
        clip = f"audio/{number:06d}.flac"
        digest = write_clip(job.folder / clip, utterance)
    role = wearer if heard.role is Role.UNSAID else caller_at(state, heard.role)
    return Call(
        number=number,
        source=source,
        role=role,
        expects=expected,
        start_s=round(utterance.start_s, 3),
        end_s=round(utterance.end_s, 3),
        clip=clip,
        clip_sha256=digest,
        kind=heard.kind,
        text=heard.text,
        value=heard.value,
        name=heard.name,
        amount=heard.amount,
        probability=heard.probability,
        alternatives=heard.alternatives,
        outcome=heard.outcome,
        reason=heard.reason,
        note=heard.note,
    )


def parse_roles(named: Sequence[str]) -> tuple[Role, ...]:
    """Read who wears each channel's microphone.

    Raises:
        ConfigError: a name is no role, or two channels have the same one.
    """
    known = {role.value: role for role in Role}
    roles = tuple(known[name] for name in named if name in known)
    if len(roles) != len(named) or len(set(roles)) != len(roles) or not roles:
        raise ConfigError(
            f"{','.join(named)!r} does not say who wears each microphone",
            where="--channels",
            next_step="say head,rear or rear,head for two channels, unsaid for one",
        )
    return roles

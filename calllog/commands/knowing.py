"""Options that name voices, in; the voices for each channel, out; shell."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from calllog import system
from calllog.commands.engine import Engine
from calllog.commands.terminal import out
from calllog.errors import ConfigError
from calllog.pairing import Phase
from calllog.recognise.known_voice import KnownVoice
from calllog.resources import grammar_names
from calllog.session import Job
from calllog.session.kinds import VoiceKnown
from calllog.values import Role
from calllog.voices import Profile, digest_of, known_voices, read_voice, voices_folder
from calllog.voices.clips import FEWEST
from calllog.voices.job_calls import agreed_calls
from calllog.wording import ENGLISH, Words

VoicesOption = Annotated[
    Path | None,
    typer.Option("--voices", help="Folder of the voices; left out, the one in your user data."),
]
NOBODY = "none"
Channels = dict[int, tuple[KnownVoice, ...]]


@dataclass(frozen=True, slots=True)
class NamedVoices:
    """Whose voices the crew's are, as the command line says; None for as the job had it."""

    head: Annotated[
        str | None,
        typer.Option(
            "--head", help='Whose voice the head\'s is (calllog enroll); "none" for nobody known.'
        ),
    ] = None
    rear: Annotated[
        str | None,
        typer.Option("--rear", help='Whose voice the rear\'s is; "none" for nobody known.'),
    ] = None
    folder: VoicesOption = None


@dataclass(frozen=True, slots=True)
class Crew:
    """Whose voices the crew's are."""

    voices: dict[Role, Profile]
    settled: tuple[Role, ...]
    """Whose name is settled now, be it nobody's."""
    missing: tuple[str, ...]
    """Who was named before, and has no voice here."""

    def record(self, job: Job, words: Words = ENGLISH) -> None:
        """Let the job remember whose voices they are, and say so."""
        for role in self.settled:
            profile = self.voices.get(role)
            name, digest = (profile.name, digest_of(profile)) if profile else ("", "")
            job.use_voice(role, name, digest)
        if self.missing:
            out.print(words("voices-not-here", names=", ".join(self.missing)))
        for role, profile in self.voices.items():
            out.print(words("voices-used", role=role.value, name=profile.name))


def crew_voices(before: Mapping[Role, VoiceKnown], named: NamedVoices) -> Crew:
    """Read the voices of a crew; who is not named now has the one of before.

    Raises:
        ConfigError: somebody who is named now has no voice here.
    """
    folder = voices_folder(named.folder)
    here = known_voices(folder)
    found: dict[Role, Profile] = {}
    settled, missing = [], []
    for role, name in ((Role.HEAD, named.head), (Role.REAR, named.rear)):
        wanted = before[role].name if name is None and role in before else name or ""
        if name is None and wanted and wanted not in here:
            missing.append(wanted)
            continue
        if wanted and wanted != NOBODY:
            _require_no_grammar(wanted, here, role)
            found[role] = read_voice(wanted, folder)
        settled.append(role)
    return Crew(found, tuple(settled), tuple(missing))


def _require_no_grammar(name: str, here: Sequence[str], role: Role) -> None:
    """Refuse the name of a grammar where a voice's is asked for."""
    if name in grammar_names() and name not in here:
        raise ConfigError(
            f"{name} is a grammar, not a voice",
            where=f"--{role.value}",
            next_step=f"say by what the {role.value} calls with --{role.value}-grammar {name}",
        )


def by_channel(voices: dict[Role, Profile], wearers: Iterable[Sequence[Role]]) -> Channels:
    """Sort voices by the channels in which they may be heard; one of both people has both."""
    found: dict[int, dict[str, KnownVoice]] = {}
    for roles in wearers:
        for channel, role in enumerate(roles):
            worn = (Role.HEAD, Role.REAR) if role is Role.UNSAID else (role,)
            for each in worn:
                if each in voices:
                    profile = voices[each]
                    found.setdefault(channel, {})[profile.name] = profile.voice
    return {channel: tuple(those.values()) for channel, those in found.items()}


def require_encoder(engine: Engine, where: str) -> None:
    """Pass if what listens can know voices; ConfigError if another engine listens."""
    if engine is not Engine.ENCODER:
        raise ConfigError(
            "only the encoder model can know a voice",
            where=where,
            next_step="leave --engine out",
        )


def offer_learning(job: Job, crew: Crew | None, words: Words = ENGLISH) -> None:
    """Offer to learn voices from a line that was finished; it is never done unasked."""
    state = job.replay.state
    is_finished = bool(job.replay.finished) or (state is not None and state.phase is Phase.FINISHED)
    if crew is None or not is_finished:
        return
    for role in (Role.HEAD, Role.REAR):
        worn = job.replay.voices.wearers.get(role, ())
        names = (crew.voices[role].name,) if role in crew.voices else worn
        calls = len(agreed_calls(job.replay, role))
        if len(names) != 1 or calls < FEWEST:
            continue
        name, folder = map(system.quoted, (names[0], job.folder))
        command = f"calllog enroll {name} --job {folder} --role {role.value}"
        offer = words("enroll-offer", role=role.value, calls=calls, command=command)
        out.print(offer)

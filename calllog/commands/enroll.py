"""The command `enroll`: the program learns a voice, live, from files, or from a job."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from calllog.commands.engine import Engine, GrammarOption, load_words, model_for
from calllog.commands.grouped import grouped
from calllog.commands.kit import MicrophoneOption, OutputOption, VoiceOption, VolumeOption
from calllog.commands.knowing import VoicesOption
from calllog.commands.rehearsing import rehearse, wait_for_yes
from calllog.commands.tape_file import today
from calllog.commands.terminal import out
from calllog.errors import ConfigError, require_plain
from calllog.office import replay_job
from calllog.resources import DEFAULT_GRAMMAR
from calllog.spoken import Grammar
from calllog.values import Role
from calllog.voices import known_voices, read_voice, voices_folder, write_voice
from calllog.voices.clips import Said, read_clips
from calllog.voices.folder import file_of
from calllog.voices.job_calls import agreed_calls, read_calls
from calllog.wording import Words

if TYPE_CHECKING:
    from calllog.voices.enrolling import Enroller, Tried


@grouped
def enroll(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Whose voice.")],
    clips: Annotated[
        Path | None,
        typer.Option("--clips", help="Folder of sound files, with said.csv: file,expects,text."),
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", help="A job: its pulls that agreed are learned from.")
    ] = None,
    role: Annotated[
        Role, typer.Option("--role", help="Whose microphone it was in the job: head or rear.")
    ] = Role.UNSAID,
    microphones: MicrophoneOption = (),
    output: OutputOption = None,
    volume: VolumeOption = 1.0,
    voice: VoiceOption = None,
    folder: VoicesOption = None,
    named: GrammarOption = None,
) -> None:
    """Let the program learn a person's voice: live in two minutes, from files, or from a job.

    What is kept is a file of numbers, some 25 kB, no sound; calllog voices shows and removes it.

    Its language is that of --grammar; a voice is known where that language is heard.

    Example: calllog enroll Ash --microphone headset
    """
    from calllog.recognise.encoder_engine import EncoderRecogniser  # noqa: PLC0415 - heavy
    from calllog.voices.enrolling import Enroller  # noqa: PLC0415 - the same

    require_plain(name, "NAME")
    place = voices_folder(folder)
    file = file_of(name, place)
    if sum(each is not None for each in (clips, job, microphones or None)) > 1:
        raise ConfigError(
            "a voice is learned from one thing at a time",
            where="--clips, --job, --microphone",
            next_step="name one of them",
        )
    if (job is None) != (role is Role.UNSAID):
        raise ConfigError(
            "a job has two voices",
            where="--job, --role",
            next_step="give both: --job JOB --role head, or rear",
        )
    before = read_voice(name, place) if name in known_voices(place) else None
    grammar, parser = load_words(named or _of(job, role) or DEFAULT_GRAMMAR)
    if clips is None and job is None and not grammar.unit.is_feet:
        raise ConfigError(
            "the two pulls are played on a tape in feet",
            where="--grammar",
            next_step="name the grammar in feet: a voice is of a language, whatever is measured in",
        )
    words = grammar.words
    out.print(words("enroll-kept", file=str(file)))
    with EncoderRecogniser(grammar, model_for(Engine.ENCODER, grammar)) as recogniser:
        enroller = Enroller(recogniser)
        if clips is not None:
            tried = _try_all(enroller, read_clips(clips, parser), words)
        elif job is not None:
            tried = _try_all(enroller, _of_job(job, role, grammar), words)
        else:
            if not wait_for_yes(words):
                out.print(words("enroll-not-begun"))
                return
            with rehearse(
                enroller,
                grammar,
                parser,
                microphones=microphones,
                output=output,
                volume=volume,
                voice=voice,
            ) as live:
                tried = live.run()
        begin_s = time.process_time()
        profile = enroller.learn(name, tried, today(), before)
        took_s = time.process_time() - begin_s
    write_voice(profile, place)
    out.print(
        words(
            "enroll-done",
            name=name,
            calls=profile.calls,
            seconds=round(took_s, 1),
            bytes=len(profile.text().encode()),
            file=str(file),
        )
    )
    out.print(words("enroll-use", name=name))


def _of(job: Path | None, role: Role) -> str:
    """Give the grammar that somebody calls by in a job; empty where there is none."""
    if job is None:
        return ""
    replay = replay_job(job)
    return replay.spoken.get(role, (replay.grammar,))[0]


def _try_all(enroller: Enroller, said: Sequence[Said], words: Words) -> tuple[Tried, ...]:
    """Try calls, and tell those that are not learned from."""
    tried = tuple(map(enroller.try_call, said))
    for each in tried:
        if not each.is_good:
            out.print(words("enroll-passed-over", call=each.name, said=each.text, heard=each.heard))
    return tried


def _of_job(job: Path, role: Role, grammar: Grammar) -> tuple[Said, ...]:
    replay = replay_job(job)
    if not replay.voices.covers(role, today()):
        raise ConfigError(
            f"the {role.value} does not agree to sound being kept, so that nothing is learned",
            where=str(job),
            next_step="ask, then record it: calllog consent JOB --person NAME",
        )
    calls = agreed_calls(replay, role)
    if not calls:
        raise ConfigError(
            f"no sound of the {role.value} in pulls that agreed is kept",
            where=str(job),
            next_step="let each person wear a microphone of their own, and sound be kept"
            " (--consent)",
        )
    return read_calls(job, calls, grammar)

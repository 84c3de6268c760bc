"""The command `voices`: list the voices that the program learned, show one, remove one."""

import math
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.knowing import VoicesOption
from calllog.commands.terminal import asked_messages, out
from calllog.errors import ConfigError
from calllog.voices import digest_of, forget, known_voices, read_voice, voices_folder
from calllog.voices.folder import file_of


def voices(
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="Whose voice; left out, all of them.")
    ] = None,
    remove: Annotated[bool, typer.Option("--remove", help="Remove it.")] = False,
    folder: VoicesOption = None,
) -> None:
    """List the voices that were learned, show what is kept of one, or remove it.

    A voice is a small file of numbers; it holds no sound. Example: calllog voices Ash
    """
    place = voices_folder(folder)
    if name is None:
        if remove:
            raise ConfigError(
                "whose voice?", where="--remove", next_step="calllog voices NAME --remove"
            )
        _list(place)
    elif remove:
        forget(name, place)
        out.print(asked_messages()("voices-removed", name=name, file=str(file_of(name, place))))
    else:
        _show(name, place)


def _list(place: Path) -> None:
    names = known_voices(place)
    if not names:
        out.print(asked_messages()("voices-none", folder=str(place)))
    for name in names:
        each = read_voice(name, place)
        out.print(asked_messages()("voices-line", name=each.name, calls=each.calls, made=each.made))


def _show(name: str, place: Path) -> None:
    profile = read_voice(name, place)
    path = file_of(name, place)
    out.print(asked_messages()("voices-line", name=name, calls=profile.calls, made=profile.made))
    out.print(asked_messages()("voices-file", file=str(path), bytes=len(profile.text().encode())))
    pitch_hz = round(math.exp(float(profile.voiceprint.mean[-1])))
    out.print(
        asked_messages()(
            "voices-holds",
            parts=len(profile.components),
            pitch=pitch_hz,
            gained=round(profile.gained_nats, 2),
        )
    )
    for each in profile.misheard:
        out.print(
            asked_messages()("voices-misheard", said=each.said, heard=each.heard, times=each.times)
        )
    out.print(asked_messages()("voices-hash", hash=digest_of(profile)))

"""The folder of voices: each a plain file of its own, listed, read, written, removed; shell."""

import re
from pathlib import Path

import platformdirs

from calllog.errors import ConfigError
from calllog.files import make_folder, read_limited, write_whole
from calllog.system import is_everywhere_a_name
from calllog.voices.profile import MOST_BYTES, Profile, read_profile

ENDING = ".voice.json"
_NAME = re.compile(r"[^\W_][\w .'-]{0,39}")


def voices_folder(folder: Path | None = None) -> Path:
    """Name the folder of voices: the one given, else that in the user's own data folder."""
    return folder or platformdirs.user_data_path("calllog", appauthor=False) / "voices"


def file_of(name: str, folder: Path) -> Path:
    """Name a voice's file; ConfigError if no file can have that name."""
    if not (_NAME.fullmatch(name) and is_everywhere_a_name(f"{name}{ENDING}")):
        raise ConfigError(
            f"{name!r} cannot name a voice",
            where="NAME",
            next_step="use at most 40 letters, digits, spaces, dots, hyphens and apostrophes,"
            " beginning with a letter or digit, and no name of a device of Windows such as con",
        )
    return folder / f"{name}{ENDING}"


def known_voices(folder: Path) -> tuple[str, ...]:
    """List the names of the voices in a folder; none where there is no folder."""
    return tuple(sorted(path.name.removesuffix(ENDING) for path in folder.glob(f"*{ENDING}")))


def read_voice(name: str, folder: Path) -> Profile:
    """Read a voice; ConfigError if there is none of that name, or its file is broken."""
    path = file_of(name, folder)
    try:
        text = read_limited(path, most_bytes=MOST_BYTES).decode("utf-8")
    except FileNotFoundError as error:
        known = ", ".join(known_voices(folder))
        raise ConfigError(
            f"there is no voice of {name}",
            where=str(folder),
            next_step=f"enroll: calllog enroll {name!r}"
            + (f"; there are: {known}" if known else ""),
        ) from error
    except (OSError, UnicodeDecodeError) as error:
        raise ConfigError(
            f"the voice cannot be read: {error}",
            where=str(path),
            next_step="make the file readable, or delete it and enroll again",
        ) from error
    profile = read_profile(text, str(path))
    if profile.name != name:
        raise ConfigError(
            f"the file says that it is the voice of {profile.name}",
            where=str(path),
            next_step=f"rename it to {profile.name}{ENDING}",
        )
    return profile


def write_voice(profile: Profile, folder: Path) -> Path:
    """Write a voice's file in place of an earlier one, and give it; ConfigError if it cannot be."""
    path = file_of(profile.name, folder)
    try:
        make_folder(folder)
        write_whole(path, profile.text().encode())
    except OSError as error:
        raise ConfigError(
            f"the voice cannot be kept: {error.strerror}",
            where=str(path),
            next_step="name a folder that can be written with --voices",
        ) from error
    return path


def forget(name: str, folder: Path) -> None:
    """Remove a voice; ConfigError if there is none of that name, or it cannot be removed."""
    path = file_of(name, folder)
    try:
        path.unlink()
    except FileNotFoundError as error:
        known = ", ".join(known_voices(folder)) or "none"
        raise ConfigError(
            f"there is no voice of {name}",
            where=str(folder),
            next_step=f"there are: {known}",
        ) from error
    except OSError as error:
        raise ConfigError(
            f"the voice cannot be removed: {error.strerror}",
            where=str(path),
            next_step="delete the file by hand",
        ) from error

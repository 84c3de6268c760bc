"""Phone: this computer's own key, in the folder of its user, out; shell.

It is random, made once, never leaves the computer and stands in no job. What is sealed with it was
sealed here: no journal that comes from elsewhere can hold such a seal.
"""

from __future__ import annotations

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path

import platformdirs

from calllog.errors import ConfigError

BYTES = 32
NAME = "phones.key"
_READ = os.O_RDONLY | os.O_NOFOLLOW | os.O_CLOEXEC | os.O_NONBLOCK
"""A pipe in the file's place must not be waited for."""
_FOLDER = os.O_RDONLY | os.O_NOFOLLOW | os.O_CLOEXEC | os.O_DIRECTORY
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_CLOEXEC
_OTHERS_WRITE = stat.S_IWGRP | stat.S_IWOTH
_OTHERS = stat.S_IRWXG | stat.S_IRWXO


def computer_key(folder: Path | None = None) -> bytes:
    """Give this computer's key; make it where there is none.

    Args:
        folder: where it is kept; the user's data folder if left out.

    Raises:
        ConfigError: it cannot be read or made, or others may have read or changed it.
    """
    kept = platformdirs.user_data_path("calllog", appauthor=False) if folder is None else folder
    where = kept / NAME
    try:
        kept.mkdir(mode=0o700, parents=True, exist_ok=True)
        place = os.open(kept, _FOLDER)
        try:
            if not _is_own(os.fstat(place), _OTHERS_WRITE):
                raise ConfigError(
                    "the key of this computer cannot be kept: others may write there",
                    where=str(kept),
                    next_step="make the folder your own: chmod 700",
                )
            try:
                return _read(place, where)
            except FileNotFoundError:
                _make(place)
                return _read(place, where)
        finally:
            os.close(place)
    except OSError as error:
        raise ConfigError(
            f"the key of this computer cannot be kept ({error.strerror})",
            where=str(where),
            next_step="let it be a file of yours in a folder of yours, without links; or work"
            " without the chief's page",
        ) from error


def _read(place: int, where: Path) -> bytes:
    file = os.open(NAME, _READ, dir_fd=place)
    try:
        found = os.fstat(file)
        is_file = stat.S_ISREG(found.st_mode) and found.st_nlink == 1
        _require(is_file, "it is no plain file", where)
        _require(_is_own(found, _OTHERS), "others may read it", where)
        key = os.read(file, BYTES + 1)
    finally:
        os.close(file)
    _require(len(key) == BYTES, f"it has not the {BYTES} bytes of a key", where)
    return key


def _make(place: int) -> None:
    """Make the key whole or not at all; of two programs that begin at once the first counts."""
    name = f".{NAME}-{secrets.token_hex(8)}"
    file = os.open(name, _NEW, 0o600, dir_fd=place)
    try:
        with os.fdopen(file, "wb") as opened:
            opened.write(secrets.token_bytes(BYTES))
            opened.flush()
            os.fsync(opened.fileno())
        with suppress(FileExistsError):
            os.link(name, NAME, src_dir_fd=place, dst_dir_fd=place, follow_symlinks=False)
    finally:
        os.unlink(name, dir_fd=place)
    os.fsync(place)


def _is_own(found: os.stat_result, forbidden: int) -> bool:
    return found.st_uid == os.geteuid() and not found.st_mode & forbidden


def _require(is_so: bool, wrong: str, where: Path) -> None:  # noqa: FBT001 - what is required
    if not is_so:
        raise ConfigError(
            f"the key of this computer cannot be trusted: {wrong}",
            where=str(where),
            next_step="delete it, and a new one is made; phones must then pair again",
        )

"""Phone: this computer's own key, in the folder of its user, out; shell.

It is random, made once, never leaves the computer and stands in no job. What is sealed with it was
sealed here: no journal that comes from elsewhere can hold such a seal.
"""

import os
import secrets
from pathlib import Path

import platformdirs

from calllog import system
from calllog.errors import ConfigError
from calllog.files import PRIVATE_FILE, bring_to_disk, make_folder
from calllog.system import OTHERS, OTHERS_WRITE, Folder

BYTES = 32
NAME = "phones.key"


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
        make_folder(kept)
        with system.SYSTEM.folder(kept, may_be_link=False) as place:
            if not _is_own(kept, place.found(), OTHERS_WRITE):
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
    except OSError as error:
        raise ConfigError(
            f"the key of this computer cannot be kept ({error.strerror})",
            where=str(where),
            next_step="let it be a file of yours in a folder of yours, without links; or work"
            " without the chief's page",
        ) from error


def _read(place: Folder, where: Path) -> bytes:
    with os.fdopen(place.open(NAME, os.O_RDONLY), "rb") as file:
        found = os.fstat(file.fileno())
        _require(found.st_nlink == 1, "it is no plain file", where)
        _require(_is_own(where, found, OTHERS), "others may read it", where)
        key = file.read(BYTES + 1)
    _require(len(key) == BYTES, f"it has not the {BYTES} bytes of a key", where)
    return key


def _make(place: Folder) -> None:
    """Make the key whole or not at all; of two programs that begin at once the first counts."""
    name = f".{NAME}-{secrets.token_hex(8)}"
    file = place.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, PRIVATE_FILE)
    try:
        with os.fdopen(file, "wb") as opened:
            opened.write(secrets.token_bytes(BYTES))
            bring_to_disk(opened)
        place.name_once(name, NAME)
    except BaseException as error:
        place.remove(name)
        if not isinstance(error, FileExistsError):
            raise
    place.sync()


def _is_own(path: Path, found: os.stat_result, forbidden: int) -> bool:
    is_seen = system.SYSTEM.others_may(path, found) & forbidden
    return system.SYSTEM.is_mine(found) and not is_seen


def _require(is_so: bool, wrong: str, where: Path) -> None:  # noqa: FBT001 - what is required
    if not is_so:
        raise ConfigError(
            f"the key of this computer cannot be trusted: {wrong}",
            where=str(where),
            next_step="delete it, and a new one is made; phones must then pair again",
        )

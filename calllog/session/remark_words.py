"""The words of a typed remark in, a file of their own out, and back; shell.

The journal is never rewritten, so words that a person may want removed do not stand in it: an entry
names their file and its SHA-256. The file holds a random salt beside the words, so that once it is
removed nobody can find the words by trying.
"""

import hashlib
import json
import secrets
from pathlib import Path

from pydantic import ValidationError

from calllog.errors import JournalError
from calllog.files import make_folder, sync_folder, write_whole
from calllog.journal import is_free, is_plain_folder, read_plain
from calllog.session.consent import RemarkWords
from calllog.values import Frozen

FOLDER = "remarks"
SALT_BYTES = 32
MOST_BYTES = 1 << 16
"""Of a file of words; a remark of a phone has some hundred."""


class _Kept(Frozen):
    """What the file holds."""

    salt: str
    words: str


def keep_words(job: Path, call: int, words: str) -> RemarkWords:
    """Write the words of a typed remark into a file of their own, on the disk when this returns.

    Raises:
        JournalError: the file cannot be written.
    """
    name = f"{FOLDER}/{call:06d}.json"
    salted = _Kept(salt=secrets.token_hex(SALT_BYTES), words=words)
    content = json.dumps(salted.model_dump(), ensure_ascii=False).encode() + b"\n"
    path = job / name
    try:
        if is_free(path.parent):
            make_folder(path.parent)
            sync_folder(job)
        if not is_plain_folder(path.parent):
            raise NotADirectoryError("it is a link or a file")
        write_whole(path, content)
        sync_folder(path.parent)
    except OSError as error:
        raise JournalError(
            f"the words of the remark cannot be kept ({error.strerror or error})",
            where=str(path),
            next_step="check that the folder is writable and the disk not full",
        ) from error
    return RemarkWords(call=call, words_in=name, words_sha256=hashlib.sha256(content).hexdigest())


def read_words(job: Path, kept: RemarkWords) -> str:
    """Read the words of a typed remark; empty where they are gone, or are not those recorded.

    That they are not there is told by `calllog.session.verify_job`.
    """
    try:
        content = read_plain(job, *kept.words_in.split("/"), most_bytes=MOST_BYTES)
        if hashlib.sha256(content).hexdigest() != kept.words_sha256:
            return ""
        return _Kept.model_validate_json(content).words
    except (OSError, ValidationError):
        return ""

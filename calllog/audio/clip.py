"""One utterance to a small sound file, whole or not at all; shell."""

import hashlib
import io
from pathlib import Path

import numpy as np
import soundfile

from calllog.audio.endpoint import Utterance
from calllog.audio.source import RATE_HZ
from calllog.errors import AudioError
from calllog.files import sync_folder, write_whole


def write_clip(path: Path, utterance: Utterance) -> str:
    """Write the samples of an utterance as FLAC, 16 bits, 16 kHz, mono.

    The file is written beside its place under a name ending in ``.part``, brought to the disk,
    then renamed: under its own name it is whole. Samples beyond full scale are clipped.

    Args:
        path: where to write; an existing file is replaced.
        utterance: what to write.

    Returns:
        SHA-256 of the file, hexadecimal.

    Raises:
        AudioError: the folder is missing or cannot be written.
    """
    whole = np.clip(np.rint(utterance.samples * 32768.0), -32768, 32767).astype(np.int16)
    memory = io.BytesIO()
    soundfile.write(memory, whole, RATE_HZ, format="FLAC", subtype="PCM_16")
    content = memory.getvalue()
    try:
        write_whole(path, content)
        sync_folder(path.parent)
    except OSError as error:
        raise AudioError(
            f"the clip cannot be written ({error.strerror})",
            where=str(path),
            next_step="check that its folder exists and is writable, and that the disk is not full",
        ) from error
    return hashlib.sha256(content).hexdigest()

"""People who say figures, letters and words: recordings in, ``recorded.npy`` and an index out.

``python -m models.training.recorded AN4 FOLDER [WORDS]``. AN4 (Carnegie Mellon University, 1991: 74
people who spell out names, addresses, telephone numbers and dates; "free for use for any purpose",
BSD terms) and any part of Speech Commands (Warden 2018, arXiv:1804.03209: single words, each by
itself, of some thousand people; CC BY 4.0) are no packages of a registry: get them from their
makers (AN4 is GitHub's ``cmusphinx/an4`` too, as ``.wav``). AN4's folder has ``etc`` and ``wav``;
WORDS has files ``WORD/PERSON_nohash_N.wav``, or ``_unknown_/WORD_PERSON_nohash_N.wav``. Where each
word is, the network that listens today tells.
The nine people of AN4's test part, and every eighth person of WORDS, are not learnt from.
"""

from __future__ import annotations

import itertools
import json
import multiprocessing
import re
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile

from calllog.recognise.alignment import aligned
from calllog.recognise.encoder import STEP_S, Encoder, EncoderHead
from calllog.recognise.encoder_model import CHANGES, HEAD
from calllog.resources import ENCODER_MODEL, model_folder
from models.training.phones import INDEX, Phones, pronunciations

HEADER = 1024
"""Bytes before the samples of a NIST SPHERE file."""
LETTERS = dict(
    zip(
        "abcdefghijklmnopqrstuvwxyz",
        (
            "EY1|B IY1|S IY1|D IY1|IY1|EH1 F|JH IY1|EY1 CH|AY1|JH EY1|K EY1|EH1 L|EH1 M|EH1 N|OW1|"
            "P IY1|K Y UW1|AA1 R|EH1 S|T IY1|Y UW1|V IY1|D AH1 B AH0 L Y UW0|EH1 K S|W AY1|Z IY1"
        ).split("|"),
        strict=True,
    )
)
MORE = {"rubout": "R AH1 B AW0 T"}
"""What the dictionary lacks."""
WORST = 3.0
"""Nats a unit: what fits its words worse than this is left out."""
WORST_SINGLE = 9.0
"""As above for single words, of which people are right even where the network is not: of what fits
them worse than the former, the loud part is taken."""
LOUD_DB, SMOOTH = 26.0, 400
RATE_HZ = 16_000
SINGLE = "single "
"""Before the name of one who says single words."""
HELD_OUT = 8
"""One in so many of these is not learnt from."""

Sound = npt.NDArray[np.int16]
Frames = npt.NDArray[np.float32]


def said(word: str) -> Phones:
    """Tell how a word is said; a letter by its name."""
    written = LETTERS.get(word) or MORE.get(word)
    return tuple(written.split()) if written else pronunciations(word)[0]


def spelled(an4: Path) -> Iterator[tuple[list[str], str, Sound]]:
    """Read what AN4's people say: words, who, and the sound, 16 kHz.

    Raises:
        SystemExit: the folder is not AN4's.
    """
    listed = an4 / "etc" / "an4_train.transcription"
    if not listed.exists():
        message = f"{listed}: not there; give the folder of AN4, with etc and wav"
        raise SystemExit(message)
    for line in listed.read_text("ascii").splitlines():
        found = re.fullmatch(r"<s> (.*) </s> \((\S+)\)", line.strip())
        if not found:
            continue
        words, who = found[1].lower().split(), found[2].split("-")[1]
        file = an4 / "wav" / "an4_clstk" / who / f"{found[2]}.sph"
        if not file.exists():
            yield words, who, soundfile.read(file.with_suffix(".wav"), dtype="int16")[0]
            continue
        data = file.read_bytes()
        order = ">" if b"sample_byte_format -s2 10" in data[:HEADER] else "<"
        yield words, who, np.frombuffer(data[HEADER:], f"{order}i2").astype(np.int16)


def single(words: Path) -> Iterator[tuple[list[str], str, Sound]]:
    """Read the single words of those who are learnt from, as `spelled` does.

    Raises:
        SystemExit: there is none.
    """
    files = sorted(words.glob("*/*_nohash_*.wav"))
    if not files:
        message = f"{words}: no words here; give a folder of WORD/PERSON_nohash_N.wav"
        raise SystemExit(message)
    for file in files:
        *named, person, _, _ = file.name.split("_")
        word = named[0] if named else file.parent.name
        if int(person, 16) % HELD_OUT and not word.startswith("_"):
            yield [word], f"{SINGLE}{person}", soundfile.read(file, dtype="int16")[0]


def places(
    head: EncoderHead, frames: Frames, phones: list[Phones]
) -> tuple[list[tuple[int, int]], float]:
    """Find the first and last frame of each word, and how ill they fit the sound [nat a unit]."""
    units = [INDEX[phone] for each in phones for phone in each]
    path, nats = aligned(head.log_probabilities(frames), units)
    spans, first = [], 0
    for each in phones:
        inside = np.flatnonzero((path > 2 * first) & (path < 2 * (first + len(each))))
        spans.append((int(inside[0]), int(inside[-1])))
        first += len(each)
    return spans, -nats / len(units)


def loud_part(sound: Sound) -> tuple[int, int]:
    """Find the first and last frame of what is loud."""
    power = np.convolve(np.square(sound / 32768.0), np.ones(SMOOTH) / SMOOTH, "same")
    loud = np.flatnonzero(power > power.max() * 10 ** (-LOUD_DB / 10))
    return int(loud[0] / RATE_HZ / STEP_S), int(loud[-1] / RATE_HZ / STEP_S)


@cache
def _listener() -> tuple[Encoder, EncoderHead]:
    model = model_folder(ENCODER_MODEL)
    changes = model / CHANGES
    encoder = Encoder(changes=changes if changes.exists() else None)
    return encoder, EncoderHead(model / HEAD)


def laid_out(item: tuple[list[str], str, Sound]) -> tuple[dict[str, Any], Sound] | None:
    """Find where the words of a recording are; what the index tells of it, and the sound.

    What does not fit its words is left out.
    """
    spoken, who, sound = item
    encoder, head = _listener()
    phones = [said(word) for word in spoken]
    frames = encoder.encode(sound / np.float32(32768))
    if len(frames) <= sum(len(each) for each in phones):
        return None
    spans, nats = places(head, frames, phones)
    if who.startswith(SINGLE) and WORST < nats <= WORST_SINGLE:
        spans, nats = [loud_part(sound)], 0.0
    if nats > WORST:
        return None
    entry = {"n": len(sound), "who": who, "words": spoken, "phones": phones, "frames": spans}
    return entry, sound


def main(an4: Path, folder: Path, words: Path | None) -> None:
    """Read and align all that is learnt from."""
    folder.mkdir(parents=True, exist_ok=True)
    sounds: list[Sound] = []
    start = 0
    items = itertools.chain(spelled(an4), single(words) if words else ())
    with (
        multiprocessing.get_context("spawn").Pool() as pool,
        (folder / "recorded.jsonl").open("w", encoding="utf-8") as index,
    ):
        for found in pool.imap(laid_out, items, chunksize=16):
            if found is None:
                continue
            entry, sound = found
            index.write(json.dumps({"start": start, **entry}) + "\n")
            sounds.append(sound)
            start += len(sound)
    np.save(folder / "recorded.npy", np.concatenate(sounds))
    sys.stderr.write(f"{len(sounds)} stretches\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), Path(sys.argv[3]) if sys.argv[3:] else None)

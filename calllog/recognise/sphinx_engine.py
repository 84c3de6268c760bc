"""The built-in engine: PocketSphinx with the model inside its wheel, one grammar an expectation.

The settings were chosen on tuning voices only (see DEVELOPERS.md, "What was measured"). The
model's own ``feat.params`` overrides settings given in code, so a folder of links with an edited
copy of that file stands in for it.
"""

from __future__ import annotations

import math
import tempfile
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Any, Self

import numpy as np

from calllog.audio import Utterance
from calllog.errors import ModelError
from calllog.recognise.engine import Hypothesis
from calllog.recognise.frontend import Array, cepstra, prepare, speech_frames
from calllog.spoken import Grammar, to_jsgf, words
from calllog.values import Expectation

SETTINGS: dict[str, Any] = {
    "beam": 1e-30,
    "pbeam": 1e-30,
    "wbeam": 1e-20,
    "wip": 0.03,
    "silprob": 0.2,
    "lw": 6.5,
    "topn": 4,
    "ds": 1,
    "fsgusefiller": True,
    "loglevel": "FATAL",
}
OWN_SETTINGS = ("-remove_noise", "-cmn")
"""Lines of ``feat.params`` that are replaced."""
SCORE_NATS = 1024.0
"""The engine's path score is the likelihood's logarithm divided by 2 ** 10, and exponentiated."""

SPEECH_DEPTH = 0.65
HISTORY_FRAMES = 200.0
"""Weight of a speaker's past in the cepstral mean, in frames."""
MEMORY_FRAMES = 1000.0

MOST_PATHS = 1500
MOST_HYPOTHESES = 12
TEMPERATURE = 12.0
"""Nats of path score that change the odds e-fold: paths are far too sure of themselves."""
CLOSED_NEXT = "open a new recogniser"


@dataclass
class _Speaker:
    """The cepstral mean of what one channel has said so far."""

    mean: Array = field(default_factory=lambda: np.zeros(13))
    frames: float = 0.0

    def meet(self, frames: Array) -> Array:
        """Take an utterance's speech frames; give the mean to subtract from it."""
        total, count = frames.sum(axis=0), float(len(frames))
        weight = min(self.frames, HISTORY_FRAMES)
        used: Array = (total + self.mean * weight) / (count + weight)
        kept = min(self.frames, MEMORY_FRAMES)
        self.mean = (total + self.mean * kept) / (count + kept)
        self.frames = count + kept
        return used


class SphinxRecogniser:
    """PocketSphinx behind the recogniser protocol.

    Args:
        grammar: what may be said.
        model: folder of the acoustic model and ``cmudict-en-us.dict``; the wheel's own by default.

    Raises:
        ModelError: the model is missing or broken, or lacks a word of the grammar.
    """

    def __init__(self, grammar: Grammar, model: Path | None = None) -> None:
        import pocketsphinx  # noqa: PLC0415 - parsing, checking and export run without an engine

        folder = model or Path(pocketsphinx.get_model_path()) / "en-us"
        self._scratch = tempfile.TemporaryDirectory(prefix="calllog-")
        scratch = Path(self._scratch.name)
        try:
            _edit_model(folder / "en-us", scratch)
            dictionary = _own_dictionary(folder / "cmudict-en-us.dict", scratch, words(grammar))
            self._decoders: dict[Expectation, Any] = {}
            for expects in Expectation:
                decoder = pocketsphinx.Decoder(
                    hmm=str(scratch), dict=str(dictionary), lm=None, **SETTINGS
                )
                decoder.add_jsgf_string("call", to_jsgf(grammar, expects))
                decoder.activate_search("call")
                self._decoders[expects] = decoder
        except (OSError, RuntimeError, ValueError) as error:
            self._scratch.cleanup()
            raise ModelError(
                f"PocketSphinx cannot use this model: {error}",
                where=str(folder),
                next_step="reinstall: pip install --force-reinstall pocketsphinx==5.1.1",
            ) from error
        self._speakers: dict[tuple[str, int], _Speaker] = {}
        self._is_closed = False

    @property
    def identity(self) -> str:
        """Engine, its version and its model."""
        return f"pocketsphinx {version('pocketsphinx')}, en-us"

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""
        if self._is_closed:
            raise ModelError("the recogniser is closed", next_step=CLOSED_NEXT)
        if not len(utterance.samples):
            return ()
        samples = prepare(utterance.samples, utterance.lead)
        speaker = self._speakers.setdefault((utterance.source, utterance.channel), _Speaker())
        mean = speaker.meet(speech_frames(cepstra(samples), SPEECH_DEPTH))
        decoder = self._decoders[expects]
        decoder.set_cmn(",".join(f"{value:.4f}" for value in mean))
        decoder.start_utt()
        decoder.process_raw(np.clip(samples, -32768, 32767).astype("<i2").tobytes(), False, False)  # noqa: FBT003 - the engine's positional flags
        decoder.end_utt()
        return _rank(_paths(decoder))

    def close(self) -> None:
        """Release the decoders and the scratch folder; closing twice does no harm."""
        if not self._is_closed:
            self._is_closed = True
            self._decoders.clear()
            self._scratch.cleanup()

    def __enter__(self) -> Self:
        """Use the recogniser in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


def _edit_model(source: Path, scratch: Path) -> None:
    """Link the model's files, with noise removal off and a mean that is given."""
    for file in source.iterdir():
        if file.name != "feat.params":
            (scratch / file.name).symlink_to(file)
    lines = (source / "feat.params").read_text("ascii").splitlines()
    kept = [line for line in lines if not line.startswith(OWN_SETTINGS)]
    text = "\n".join([*kept, "-remove_noise no", "-cmn live", ""])
    (scratch / "feat.params").write_text(text, "ascii")


def _own_dictionary(source: Path, scratch: Path, wanted: frozenset[str]) -> Path:
    """Write the dictionary of the grammar's words alone, all pronunciations of each."""
    lines, found = [], set()
    with source.open(encoding="utf-8") as entries:
        for line in entries:
            word = line.partition(" ")[0].partition("(")[0]
            if word in wanted:
                lines.append(line)
                found.add(word)
    if missing := sorted(wanted - found):
        message = f"no pronunciation for {', '.join(missing)}"
        raise ValueError(message)
    path = scratch / "words.dict"
    path.write_text("".join(lines), "utf-8")
    return path


def _paths(decoder: Any) -> dict[str, float]:  # noqa: ANN401 - the engine has no types
    """Read the best paths, one for each wording: words and log-likelihood [nat]."""
    best: dict[str, float] = {}
    if decoder.hyp() is None:
        return best
    for count, path in enumerate(decoder.nbest()):
        if path is None or count >= MOST_PATHS or len(best) >= MOST_HYPOTHESES:
            break
        if path.hypstr and path.score > 0.0:
            best.setdefault(path.hypstr, math.log(path.score) * SCORE_NATS)
    return best


def _rank(paths: dict[str, float]) -> tuple[Hypothesis, ...]:
    """Turn path scores into probabilities."""
    if not paths:
        return ()
    top = max(paths.values())
    weights = {text: math.exp((score - top) / TEMPERATURE) for text, score in paths.items()}
    total = sum(weights.values())
    ranked = sorted(weights.items(), key=lambda each: -each[1])
    return tuple(Hypothesis(text, weight / total) for text, weight in ranked)

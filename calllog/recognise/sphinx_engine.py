"""The built-in engine: PocketSphinx with the model inside its wheel.

Two searches an utterance: what the caller is expected to say, and everything else. A path that
leaves loud sound to silence does not explain it, so its score is lowered for each such frame; the
expected wins unless the other is better by far; and a small logistic regression over how well the
words explain the sound tells calls from talk. Settings and coefficients were chosen on tuning
voices only (see `tests/bench/RESULTS.md`).

Both searches start from the same mean: the engine moves it at the end of an utterance, for some
lengths and not for others, so that the second search would depend on chance. Live, where nothing
else listens, they run side by side, in two processes that share the model's memory (`Beside`). What
they search is a graph of our own (`word_graph`).

The model's own ``feat.params`` overrides settings given in code, so a folder of links with an
edited copy of that file stands in for it.
"""

from __future__ import annotations

import math
import tempfile
from dataclasses import dataclass, field
from importlib.metadata import version
from pathlib import Path
from typing import Any, Self

import numpy as np
import numpy.typing as npt

from calllog.audio import Utterance
from calllog.errors import ModelError
from calllog.recognise.beside import Beside
from calllog.recognise.denoiser import Array
from calllog.recognise.engine import Hypothesis
from calllog.recognise.frontend import cepstra, loud_frames, prepare, speech_frames
from calllog.recognise.word_graph import build_word_graph
from calllog.spoken import Grammar, words
from calllog.spoken.compile import parts
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
    "compallsen": True,
    "loglevel": "FATAL",
}
OWN_SETTINGS = ("-remove_noise", "-cmn")
"""Lines of ``feat.params`` that are replaced."""
SCORE_STEP = 1024
SCORE_NATS = float(SCORE_STEP)
"""The engine's path score is the likelihood's logarithm divided by 2 ** 10, and exponentiated."""

SPEECH_DEPTH = 0.8
"""Depth of the frames that make the cepstral mean (see `speech_frames`)."""
LOUD_DEPTH = 0.5
"""Depth of the frames that words must explain."""
HISTORY_FRAMES = 200.0
"""Weight of a speaker's past in the cepstral mean, in frames."""
MEMORY_FRAMES = 1000.0

MOST_PATHS = 600
MOST_HYPOTHESES = 12
UNEXPLAINED_NATS = 20.0
"""What a loud frame costs that no word explains."""
EXPECTED_NATS = 60.0
"""By how much something else must be better than the expected."""
TEMPERATURE = 18.0
"""Nats of path score that change the odds e-fold: paths are far too sure of themselves."""
LONGEST_NUMBER = 3
"""Words of a whole foot or hundredths; more is a reading."""
LONGEST_FITTED = 6
"""Words of the longest calls that the regression was fitted on; notes have more, up to eleven, and
each word more would count against them."""
CLOSED_NEXT = "open a new recogniser"

_Question = tuple[str, str, bytes, npt.NDArray[np.bool_]]
"""Name of a search, the mean to subtract, the sound as 16-bit samples, and its loud frames."""


@dataclass(frozen=True, slots=True)
class _Found:
    """What one search found."""

    paths: dict[str, float]
    """Log-likelihood of each wording, relative to the best free path of states [nat]."""
    best: str
    unexplained: int
    """Loud frames that the best path leaves to silence."""
    loud: int
    frames: int
    """Frames that the best path explains by words."""

    @property
    def logit(self) -> float:
        """Log-odds that this is a call: logistic regression on tuning voices, calls and talk."""
        count = len(self.best.split())
        is_long = count > LONGEST_NUMBER
        return (
            24.24
            - 6.91 * self.unexplained / max(self.loud, 1)
            + 1.217 * self.paths[self.best] / max(self.frames, 1)
            - 2.97 * math.log(max(self.frames, 1) / count)
            - 0.65 * min(count, LONGEST_FITTED)
            - 0.68 * is_long
        )


@dataclass
class _Speaker:
    """The cepstral mean of what one channel has said so far."""

    mean: Array = field(default_factory=lambda: np.zeros(13))
    frames: float = 0.0
    before: tuple[float, Array, float] = field(default_factory=lambda: (-1.0, np.zeros(13), 0.0))
    """Start of the last utterance, and mean and frames before it."""

    def meet(self, frames: Array, start_s: float) -> Array:
        """Take an utterance's speech frames; give the mean to subtract from it.

        One that is heard again (it went on after a pause, or something else was expected) stands
        in place of what was heard of it before.
        """
        if start_s == self.before[0]:
            _, self.mean, self.frames = self.before
        self.before = (start_s, self.mean, self.frames)
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
        is_live: search for everything else in a copy of this process while this one searches for
            what is expected.

    Raises:
        ModelError: the model is missing or broken, or lacks a word of the grammar.
    """

    def __init__(
        self, grammar: Grammar, model: Path | None = None, *, is_live: bool = False
    ) -> None:
        import pocketsphinx  # noqa: PLC0415 - parsing, checking and export run without an engine

        self._engine = pocketsphinx
        folder = model or Path(pocketsphinx.get_model_path()) / "en-us"
        self._scratch = tempfile.TemporaryDirectory(prefix="calllog-")
        scratch = Path(self._scratch.name)
        try:
            _edit_model(folder / "en-us", scratch)
            dictionary, self._last_phones = _own_dictionary(
                folder / "cmudict-en-us.dict", scratch, words(grammar)
            )
            self._decoder = pocketsphinx.Decoder(
                hmm=str(scratch), dict=str(dictionary), lm=None, **SETTINGS
            )
        except (OSError, RuntimeError, ValueError) as error:
            self._scratch.cleanup()
            raise ModelError(
                f"PocketSphinx cannot use this model: {error}",
                where=str(folder),
                next_step="reinstall: pip install --force-reinstall pocketsphinx==5.1.1",
            ) from error
        self._grammar = grammar
        self._loaded: set[str] = set()
        """Searches that stand ready: only those that are used."""
        self._speakers: dict[tuple[str, int], _Speaker] = {}
        self._is_closed = False
        self._beside = Beside(self._search) if is_live else None

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
        frames = cepstra(samples)
        mean = speaker.meet(speech_frames(frames, SPEECH_DEPTH), utterance.start_s)
        mean_text = ",".join(f"{value:.4f}" for value in mean)
        sound = np.clip(samples, -32768, 32767).astype("<i2").tobytes()
        asked = (mean_text, sound, loud_frames(frames, LOUD_DEPTH))
        if self._beside is None:
            first = self._search((f"{expects}-first", *asked))
            also = self._search((f"{expects}-also", *asked))
        else:
            self._beside.ask((f"{expects}-also", *asked))
            first = self._search((f"{expects}-first", *asked))
            also = self._beside.answer()
        found = [(each, nats) for each, nats in ((first, EXPECTED_NATS), (also, 0.0)) if each]
        return _rank(found)

    def _search(self, question: _Question) -> _Found | None:
        name, mean, sound, is_loud = question
        decoder = self._decoder
        if name not in self._loaded:
            decoder.add_fsg(name, self._listen_for(name))
            self._loaded.add(name)
        decoder.activate_search(name)
        decoder.set_cmn(mean)
        decoder.start_utt()
        decoder.process_raw(sound, False, False)  # noqa: FBT003 - the engine's positional flags
        decoder.end_utt()
        best = decoder.hyp()
        if best is None or not best.hypstr or best.score <= 0.0:
            return None
        in_words = np.zeros(len(is_loud), dtype=bool)
        for segment in decoder.seg():
            if segment.word[0] not in "<[+":
                in_words[segment.start_frame : segment.end_frame + 1] = True
        paths = {best.hypstr: math.log(best.score) * SCORE_NATS}
        for count, path in enumerate(decoder.nbest()):
            if path is None or count >= MOST_PATHS or len(paths) >= MOST_HYPOTHESES:
                break
            if path.hypstr and path.score > 0.0:
                paths.setdefault(path.hypstr, math.log(path.score) * SCORE_NATS)
        return _Found(
            paths,
            best.hypstr,
            unexplained=int(np.sum(is_loud & ~in_words)),
            loud=int(np.sum(is_loud)),
            frames=int(np.sum(in_words)),
        )

    def _listen_for(self, name: str) -> Any:  # noqa: ANN401 - the engine has no types
        """Write what a search listens for as the engine takes it."""
        expects, _, which = name.partition("-")
        listens = self._grammar.listens[Expectation(expects)]
        kinds = listens.first if which == "first" else listens.also
        trees = tuple(parts(self._grammar, Expectation(expects), kinds).values())
        graph = build_word_graph(trees, self._last_phones.__getitem__)
        logarithms = self._decoder.get_logmath()
        made = self._engine.FsgModel(name, logarithms, SETTINGS["lw"], graph.states)
        made.set_start_state(graph.begin)
        made.set_final_state(graph.final)
        for (begin, end, word), steps in graph.words.items():
            made.trans_add(begin, end, steps * SCORE_STEP, made.word_add(word))
        for (begin, end), steps in graph.empty.items():
            made.null_trans_add(begin, end, steps * SCORE_STEP)
        for state in graph.silent:
            made.add_silence("<sil>", state, SETTINGS["silprob"])
        return made

    def close(self) -> None:
        """Release the decoders and the scratch folder; closing twice does no harm."""
        if not self._is_closed:
            self._is_closed = True
            if self._beside is not None:
                self._beside.close()
            self._decoder = None
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


def _own_dictionary(
    source: Path, scratch: Path, wanted: frozenset[str]
) -> tuple[Path, dict[str, frozenset[str]]]:
    """Write the dictionary of the grammar's words alone, all pronunciations of each.

    Returns:
        Where it is, and the last phones of each word.
    """
    lines: list[str] = []
    found: dict[str, frozenset[str]] = {}
    with source.open(encoding="utf-8") as entries:
        for line in entries:
            word = line.partition(" ")[0].partition("(")[0]
            if word in wanted:
                lines.append(line)
                found[word] = found.get(word, frozenset()) | {line.split()[-1]}
    if missing := sorted(wanted - found.keys()):
        message = f"no pronunciation for {', '.join(missing)}"
        raise ValueError(message)
    path = scratch / "words.dict"
    path.write_text("".join(lines), "utf-8")
    return path, found


def _rank(found: list[tuple[_Found, float]]) -> tuple[Hypothesis, ...]:
    """Turn the searches' paths into probabilities; what is left to 1 is "no call"."""
    scores: dict[str, float] = {}
    for search, bonus in found:
        penalty = UNEXPLAINED_NATS * search.unexplained
        for text, score in search.paths.items():
            scores[text] = max(scores.get(text, -math.inf), score + bonus - penalty)
    if not scores:
        return ()
    top = max(scores, key=scores.__getitem__)
    best = next(search for search, _ in found if top in search.paths)
    is_call = 1.0 / (1.0 + math.exp(-best.logit))
    odds = {text: math.exp((score - scores[top]) / TEMPERATURE) for text, score in scores.items()}
    total = sum(odds.values())
    ranked = [Hypothesis(text, is_call * odd / total) for text, odd in odds.items()]
    ranked.append(Hypothesis("", 1.0 - is_call))
    return tuple(sorted(ranked, key=lambda each: -each.probability))

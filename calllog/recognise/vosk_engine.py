"""An engine for Vosk models that the user fetched: utterance and phrase list to n-best; shell.

Vosk reads models without looking: a graph cut short or an empty list of silence states ends the
whole process with a signal (measured with vosk 0.3.45: HCLr.fst missing, empty or halved,
disambig_tid.int halved, splice.conf empty). So the folder is looked over first, then the model is
tried in a process of its own, and only a model that lived through that is loaded here.
"""

from __future__ import annotations

import hashlib
import importlib
import importlib.metadata
import json
import math
from pathlib import Path
from typing import Any

import numpy as np

from calllog import children
from calllog.audio import RATE_HZ, Utterance
from calllog.closing import Closes
from calllog.errors import ModelError
from calllog.recognise.engine import Hypothesis
from calllog.spoken import Grammar, to_phrases, words
from calllog.values import Expectation

SILENCE_S = 0.5
"""Silence added after an utterance, so that its last word is decoded to its end."""
TRIAL_S = 120.0
"""A model that is not loaded by then never will be."""
NEXT_STEP = "fetch and unzip a Vosk model as models/README.md says, and give its folder"
_LAYOUTS = (
    (("am/final.mdl", "conf/mfcc.conf", "conf/model.conf"), "graph/"),
    (("final.mdl", "mfcc.conf"), ""),
)
"""The files that either kind of model folder must have, and where its graph is."""
_GRAPHS = (("HCLr.fst", "Gr.fst", "disambig_tid.int"), ("HCLG.fst", "words.txt"))
"""A graph that takes a phrase list, or one that is fixed."""
_QUIET = -4
"""Below the level of Kaldi's assertions: nothing is printed."""
_TRIAL = """
import sys, vosk
vosk.SetLogLevel(-2)
try:
    ear = vosk.KaldiRecognizer(vosk.Model(sys.argv[1]), float(sys.argv[2]), sys.argv[3])
    ear.SetMaxAlternatives(1)
    ear.AcceptWaveform(bytes(32000))
    ear.FinalResult()
except Exception as error:
    sys.exit(str(error).lower())
"""


def check_model_folder(model: Path) -> Path:
    """Look a Vosk model's folder over.

    Returns:
        Where its acoustic model (``final.mdl``) is.

    Raises:
        ModelError: there is no such folder, or files of a Vosk model are missing or empty.
    """
    if not model.is_dir():
        what = "the model is not a folder" if model.exists() else "there is no such model folder"
        raise ModelError(what, where=str(model), next_step=NEXT_STEP)
    wanting: list[tuple[int, str]] = []
    for files, place in _LAYOUTS:
        for graph in _GRAPHS:
            needed = (*files, *(place + name for name in graph))
            absent = [name for name in needed if not _has_content(model / name)]
            if not absent:
                return model / files[0]
            wanting.append((len(absent), ", ".join(absent)))
    raise ModelError(
        f"no complete Vosk model: {min(wanting)[1]} missing or empty",
        where=str(model),
        next_step=NEXT_STEP,
    )


def _has_content(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


class VoskRecogniser(Closes):
    """Hears the phrases of a grammar with a Vosk model; the network is never used.

    Vosk joins the phrases freely, so the grammar's parser must decide afterwards. Scores of the
    alternatives become probabilities by a softmax over those returned: a ranking with the
    model's own odds, not calibrated. A model with a fixed graph (``HCLG.fst``) takes no phrase
    list; what it hears outside the grammar counts as "no call" like ``[unk]``.

    Args:
        grammar: what may be said.
        model: the model's folder.
        alternatives: how many alternatives to ask for, at least 1.

    Raises:
        ModelError: vosk is not installed, the model is missing, incomplete or broken, or it does
            not know the grammar's number words.
    """

    def __init__(self, grammar: Grammar, model: Path, *, alternatives: int = 10) -> None:
        vosk = _import_vosk()
        acoustic = check_model_folder(model)
        _try_model(model, _as_json(to_phrases(grammar, Expectation.ANY)))
        vosk.SetLogLevel(_QUIET)
        self._model: Any = vosk.Model(str(model))
        unheard = {
            word
            for word in (*words(grammar), "[unk]")
            if self._model.vosk_model_find_word(word) < 0
        }
        _check_numbers(grammar, unheard, model)
        self._unheard = tuple(sorted(unheard))
        self._known = words(grammar) - unheard
        self._phrases = {
            expects: _as_json(
                tuple(p for p in to_phrases(grammar, expects) if unheard.isdisjoint(p.split()))
            )
            for expects in Expectation
        }
        self._ears: dict[str, Any] = {}
        for phrases in self._phrases.values():
            if phrases not in self._ears:
                self._ears[phrases] = vosk.KaldiRecognizer(self._model, RATE_HZ, phrases)
                self._ears[phrases].SetMaxAlternatives(alternatives)
        with acoustic.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
        version = importlib.metadata.version("vosk")
        self._identity = f"vosk {version}, {model.resolve().name}, final.mdl {digest[:12]}"

    @property
    def identity(self) -> str:
        """Version of vosk, the model folder's name and 12 digits of its final.mdl's SHA-256."""
        return self._identity

    @property
    def unheard(self) -> tuple[str, ...]:
        """Words of the grammar that the model does not know; phrases with them are left out.

        ``[unk]`` among them means that other speech and loud noise are forced into the grammar.
        """
        return self._unheard

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said, likeliest first, without repetitions; none for silence.

        The utterance is given to Vosk in one piece: Vosk looks for ends of speech only between
        pieces, so a pause inside does not split it. Kaldi adds random noise to the sound (dither,
        unless the model's ``mfcc.conf`` says otherwise), so the same utterance heard twice can
        differ in its probabilities.

        Args:
            utterance: the sound; only its `samples` are used.
            expects: what the caller is expected to say.

        Returns:
            Hypotheses whose probabilities add up to 1; an empty text means "no call".

        Raises:
            ModelError: the recogniser was closed.
        """
        if self._model is None:
            raise ModelError(
                "the recognizer is closed", where=self._identity, next_step="open it again"
            )
        ear = self._ears[self._phrases[expects]]
        padded = np.pad(utterance.samples, (0, int(SILENCE_S * RATE_HZ)))
        whole = np.clip(np.rint(padded * 32768.0), -32768, 32767).astype("<i2")
        ear.AcceptWaveform(whole.tobytes())
        found = json.loads(ear.FinalResult()).get("alternatives", [])
        if not any(each["text"] for each in found):
            return ()
        best = max(each["confidence"] for each in found)
        odds: dict[str, float] = {}
        for each in found:
            spoken = each["text"].split()
            text = " ".join(spoken) if self._known.issuperset(spoken) else ""
            odds[text] = odds.get(text, 0.0) + math.exp(each["confidence"] - best)
        total = math.fsum(odds.values())
        ranked = sorted(odds.items(), key=lambda item: -item[1])
        return tuple(Hypothesis(text, weight / total) for text, weight in ranked)

    def close(self) -> None:
        """Release the model; closing twice does no harm."""
        self._ears.clear()
        self._model = None


def _as_json(phrases: tuple[str, ...]) -> str:
    return json.dumps(phrases, ensure_ascii=False)


def _import_vosk() -> Any:  # noqa: ANN401  (vosk has no types)
    try:
        return importlib.import_module("vosk")
    except ImportError as error:
        raise ModelError(
            "vosk is not installed", next_step="install it with: pip install vosk"
        ) from error
    except (OSError, TypeError) as error:
        raise ModelError(
            f"vosk does not run on this machine ({error})",
            next_step="use the built-in engine, which needs nothing",
        ) from error


def _try_model(model: Path, phrases: str) -> None:
    """Load the model and decode a second of silence in a process of its own."""
    words = (str(model), str(RATE_HZ), phrases)
    try:
        trial = children.ask_python("-c", _TRIAL, *words, timeout_s=TRIAL_S)
    except children.TimeoutExpired:
        reason = f"vosk did not load it in {TRIAL_S:.0f} s"
    else:
        if trial.returncode == 0:
            return
        if trial.returncode < 0:
            reason = f"loading it stops vosk with signal {-trial.returncode}"
        else:
            reason = _reason(trial.stderr.decode(errors="replace"))
    raise ModelError(
        f"the model is broken: {reason}",
        where=str(model),
        next_step="unzip it again from its archive, and check the archive's size or hash",
    )


def _reason(printed: str) -> str:
    """Pick Kaldi's first error, without its place in the source, else the last line printed."""
    lines = printed.strip().splitlines() or ["vosk gives no reason"]
    errors = (line.partition(") ")[2] for line in lines if line.startswith("ERROR ("))
    return next(errors, lines[-1]).strip()


def _check_numbers(grammar: Grammar, unheard: set[str], model: Path) -> None:
    """Refuse a model that lacks a number: it would hear another one in its place."""
    lists = (*grammar.digits.values(), *grammar.cardinals.values(), grammar.terms.hundred)
    lacking = [
        forms[0] for forms in lists if all(unheard.intersection(form.split()) for form in forms)
    ]
    if lacking:
        few = ", ".join(repr(form) for form in lacking[:3])
        raise ModelError(
            f"the model does not know {len(lacking)} numbers of the grammar {grammar.name} "
            f"(the first: {few})",
            where=str(model),
            next_step=f"give a model of the grammar's language, {grammar.language}",
        )

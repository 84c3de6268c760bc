"""Writes a model folder: trained weights in, a Vosk model with our lexicon out; shell.

``python -m models.training.export WEIGHTS.npz FOLDER [EXPECTATION]``, or, where only the grammars
changed, ``... --words FOLDER [EXPECTATION]``. The folder holds what Vosk's runtime and calllog's
own engine read: ``am/final.mdl``, ``conf/``, ``units.txt``, ``lexicon.txt`` and ``graph/``, a
strict graph of what is listened for under the expectation: ``any`` if none is given. The graph is
for Vosk alone; calllog's own engine makes its sums from the grammar.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from calllog.recognise.automaton import build_automaton
from calllog.spoken import SaidKind, load_grammar, words
from calllog.spoken.compile import parts
from calllog.values import Expectation
from models.training.graph import expand, fst
from models.training.kaldi import acoustic_model
from models.training.phones import INDEX, UNITS, Phones, all_pronunciations
from models.training.plan import GRAMMAR

ENGLISH = sorted(GRAMMAR.parent.glob("en-*.toml"))
"""Grammars whose words the lexicon has; the graph is that of `GRAMMAR` alone."""
MFCC = (
    *("--use-energy=false", "--num-mel-bins=40", "--num-ceps=40", "--low-freq=20"),
    *("--high-freq=7600", "--allow-upsample=true", "--allow-downsample=true", "--dither=5.0"),
)
MODEL = (
    *("--min-active=200", "--max-active=7000", "--beam=16.0", "--lattice-beam=8.0"),
    *("--acoustic-scale=1.0", "--frame-subsampling-factor=3", "--endpoint.silence-phones=1"),
    *("--endpoint.rule2.min-trailing-silence=5.0", "--endpoint.rule3.min-trailing-silence=5.0"),
    "--endpoint.rule4.min-trailing-silence=5.0",
)
"""A blank counts as silence, and slow calls are full of blanks: ends are found outside."""


def main(weights: Path, folder: Path, expects: Expectation) -> None:
    """Write all files."""
    for name in ("am", "conf"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    with np.load(weights) as arrays:
        (folder / "am" / "final.mdl").write_bytes(acoustic_model(dict(arrays)))
    (folder / "conf" / "mfcc.conf").write_text("\n".join(MFCC) + "\n", "ascii")
    (folder / "conf" / "model.conf").write_text("\n".join(MODEL) + "\n", "ascii")
    write_graph(folder, expects)


def write_graph(folder: Path, expects: Expectation) -> None:
    """Write the words and the graph, which follow from the grammars alone.

    Calls that are mended in one breath are left out: they would make it half as large again.
    """
    (folder / "graph").mkdir(parents=True, exist_ok=True)
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    vocabulary = sorted(words(grammar))
    spelt = write_words(folder)
    numbers = {word: number for number, word in enumerate(vocabulary, start=1)}
    entries = {"<eps>": 0, **numbers}
    _write(folder / "graph" / "words.txt", (f"{word} {n}" for word, n in entries.items()))
    _write(
        folder / "graph" / "phones.txt",
        ("<eps> 0", *(f"{unit} {index + 1}" for index, unit in enumerate(UNITS))),
    )
    lexicon = {
        word: [[INDEX[unit] for unit in way] for way in ways] for word, ways in spelt.items()
    }
    said = parts(grammar, expects)
    trees = tuple(tree for kind, tree in said.items() if kind is not SaidKind.MENDED)
    graph = fst(*expand(build_automaton(trees), lexicon, numbers))
    (folder / "graph" / "HCLG.fst").write_bytes(graph)


def write_words(folder: Path) -> dict[str, tuple[Phones, ...]]:
    """Write the units and how each word is said in them; give the latter."""
    every = set().union(*(words(load_grammar(path.read_text("utf-8"))) for path in ENGLISH))
    spelt = {word: all_pronunciations(word) for word in sorted(every)}
    if missing := [word for word, ways in spelt.items() if not ways]:
        sys.exit(f"no pronunciation for {', '.join(missing)}: add it to models/training/phones.py")
    _write(folder / "units.txt", (f"{unit} {index}" for unit, index in INDEX.items()))
    _write(
        folder / "lexicon.txt",
        (f"{word} {' '.join(way)}" for word, ways in spelt.items() for way in ways),
    )
    return spelt


def _write(path: Path, lines: Iterable[str]) -> None:
    path.write_text("\n".join(lines) + "\n", "utf-8")


if __name__ == "__main__":
    asked = Expectation((*sys.argv, "any")[3])
    if sys.argv[1] == "--words":
        write_graph(Path(sys.argv[2]), asked)
    else:
        main(Path(sys.argv[1]), Path(sys.argv[2]), asked)

"""The training pipeline of the numbers model: its lists, its formats and its graph."""

from __future__ import annotations

import itertools
import struct

import numpy as np
import pytest

from calllog.recognise.alignment import aligned
from calllog.recognise.automaton import build_automaton
from calllog.spoken import Grammar, words
from calllog.spoken.expression import OneOf, Phrase, Sequence
from models.training import voices
from models.training.apart import FIGURES, PICO_FOREIGN, SPELLED
from models.training.apart import words as words_apart
from models.training.graph import Arc, expand, fst
from models.training.kaldi import compressed
from models.training.kaldi_reader import read_network
from models.training.phones import (
    INDEX,
    UNITS,
    all_pronunciations,
    kokoro,
    non_rhotic,
    pronunciations,
)
from models.training.plan import plan, values, watched
from models.training.recorded import said
from tests.bench.talk import REPORTING_TALK, TUNING_TALK


def test_no_voice_is_in_two_lists() -> None:
    """What trains, tunes and tests are different voices."""
    trained = {
        *(f"kokoro-{name}" for name in (*voices.AMERICAN, *voices.BRITISH, *voices.ACCENTED)),
        *(f"espeak-{name}" for name in voices.ESPEAK_VARIANTS),
        *(f"flite-{name}" for name in voices.FLITE),
    }
    lists = (trained, set(voices.TUNING_VOICES), set(voices.TEST_VOICES))
    for one, other in itertools.combinations(lists, 2):
        assert not one & other


def test_plan_is_the_same_each_time_and_keeps_apart(grammar: Grammar) -> None:
    """The same plan comes out twice; no tuning or test speaker, no sentence of theirs is in it."""
    some = list(itertools.islice(plan(grammar), 400))
    assert some == list(itertools.islice(plan(grammar), 400))
    kept_apart = {voice.partition("-")[2] for voice in (*voices.TUNING_VOICES, *voices.TEST_VOICES)}
    assert not kept_apart & {name for line in some for name in line["voice"]["names"]}
    said = {each["words"] for line in some for each in line["said"]}
    assert not said & {*TUNING_TALK, *REPORTING_TALK}
    assert all(
        set(phones) <= INDEX.keys()
        for line in some
        for each in line["said"]
        for phones in each["phones"]
    )


def test_training_is_watched_with_tuning_voices_alone(grammar: Grammar) -> None:
    """What the training is watched with is never a test voice."""
    spoken = {f"kokoro-{name}" for line in watched(grammar) for name in line["voice"]["names"]}
    assert spoken <= set(voices.TUNING_VOICES)


def test_every_word_of_the_grammar_is_spelt(grammar: Grammar) -> None:
    """Each word has a pronunciation in units of the network."""
    for word in words(grammar):
        ways = all_pronunciations(word)
        assert ways, word
        assert all(set(way) <= INDEX.keys() for way in ways), word


def test_pronunciations_of_numbers() -> None:
    """Regional forms are there; British ones drop the R that no vowel follows."""
    assert ("T", "W", "EH1", "N", "IY0") in pronunciations("twenty")
    assert pronunciations("niner") == (("N", "AY1", "N", "ER0"),)
    assert non_rhotic(("F", "AO1", "R")) == ("F", "AO1")
    assert non_rhotic(("Z", "IH1", "R", "OW0")) == ("Z", "IH1", "R", "OW0")
    assert kokoro(("F", "AO1", "R", "T", "IY0"), british=False) == "fˈɔɹɾi"
    assert kokoro(("F", "AO1", "T", "IY0"), british=True) == "fˈɔːti"


def test_every_value_has_forms(grammar: Grammar) -> None:
    """All feet and hundredths can be told apart: no two share a spelling in one role."""
    for role, entries in values(grammar).items():
        assert {value for _, value, _ in entries} == set(range(101 if role == "whole" else 100))
        owner: dict[tuple[str, ...], int] = {}
        for _, value, forms in entries:
            for form in forms:
                assert owner.setdefault(tuple(form), value) == value


def test_compressed_matrix_reads_back_within_a_step() -> None:
    """Eight bits an entry cost at most a step of its column's quarter, as Kaldi reads it.

    The layout is checked against another writer's bytes in test_training_kaldi.
    """
    rng = np.random.default_rng(4)
    matrix = (rng.standard_normal((40, 7)) * 10.0 ** rng.uniform(-3, 1, 7)).astype(np.float32)
    config = "input-node name=input dim=7\ncomponent-node name=a component=a input=input\n"
    config += "output-node name=output input=a objective=linear"
    data = (
        b"\0B<TransitionModel> <Topology> \4\0\0\0\0</Topology> </TransitionModel> <Nnet3> \n"
        + config.encode()
        + b"\n\n<NumComponents> \4\1\0\0\0<ComponentName> a <FixedAffineComponent> <LinearParams> "
        + compressed(matrix)
        + b"<BiasParams> FV \4\0\0\0\0</FixedAffineComponent> </Nnet3> "
    )
    read = read_network(data, "a").components["a"].fields["LinearParams"]
    assert isinstance(read, np.ndarray)
    low, first, third, high = np.quantile(matrix, (0.0, 0.25, 0.75, 1.0), axis=0, method="nearest")
    step = np.maximum.reduce([(first - low) / 64, (third - first) / 128, (high - third) / 63])
    coarse = (matrix.max() - matrix.min()) / 65535
    assert np.all(np.abs(read - matrix) <= 0.5 * step + 2 * coarse)


def accepts(arcs: list[list[Arc]], final: set[int], labels: list[int]) -> set[tuple[int, ...]]:
    """Run the graph over one unit a frame; give the word sequences that end in a final state."""
    places: set[tuple[int, tuple[int, ...]]] = {(0, ())}
    for label in labels:
        places = {
            (to, (*said, word) if word else said)
            for state, said in places
            for unit, word, to in arcs[state]
            if unit == label
        }
    return {said for state, said in places if state in final}


def test_graph_is_strict_and_follows_ctc() -> None:
    """Blanks and held units are free, equal neighbours need a blank, no other words pass."""
    tree = Sequence((Phrase("ten"), OneOf((Phrase("nine"), Phrase("two")))))
    lexicon = {"ten": [[1, 2, 3]], "nine": [[3, 4, 3]], "two": [[1, 5]]}
    arcs, final = expand(build_automaton((tree,)), lexicon, {"ten": 1, "nine": 2, "two": 3})
    assert accepts(arcs, final, [0, 1, 1, 2, 0, 3, 1, 5, 5, 0]) == {(1, 3)}
    assert accepts(arcs, final, [1, 2, 3, 0, 3, 4, 3]) == {(1, 2)}
    assert accepts(arcs, final, [1, 2, 3, 3, 4, 3]) == set()
    assert accepts(arcs, final, [1, 2, 3]) == set()
    assert accepts(arcs, final, [1, 5]) == set()


def test_graph_file_has_the_counts_of_the_graph() -> None:
    """The header and each state say how much follows; the file ends with the last arc."""
    arcs, final = expand(build_automaton((Phrase("two"),)), {"two": [[1, 5]]}, {"two": 1})
    data = fst(arcs, final)
    head = 4 + 4 + len("vector") + 4 + len("standard")
    states = struct.unpack_from("<q", data, head + 4 + 4 + 8 + 8)[0]
    assert states == len(arcs)
    size = sum(12 + 16 * len(leads) for leads in arcs)
    assert len(data) == head + 40 + size


def test_units_are_numbered_from_the_blank() -> None:
    """Index 0 is the CTC blank, and the numbers are the places in the list."""
    assert UNITS[0] == "<blk>"
    assert [INDEX[unit] for unit in UNITS] == list(range(len(UNITS)))


def test_units_are_laid_out_in_time() -> None:
    """A unit said twice needs a blank between."""
    log_probs = np.full((7, 4), np.log(0.02), np.float32)
    for frame, unit in enumerate([0, 2, 2, 0, 2, 3, 0]):
        log_probs[frame, unit] = np.log(0.94)

    states, nats = aligned(log_probs, [2, 2, 3])

    assert states.tolist() == [0, 1, 1, 2, 3, 5, 6]
    assert nats == pytest.approx(7 * np.log(0.94), abs=1e-4)


def test_letters_are_said_by_their_names() -> None:
    """A letter is no word of the dictionary."""
    assert said("h") == ("EY1", "CH")
    assert said("seven") == pronunciations("seven")[0]


def test_foreign_spellings_say_all_ten_figures() -> None:
    """Each voice of another language says each figure once."""
    said_by = [(word, voice["name"]) for word, voice, _, _ in words_apart()]

    for language in (*SPELLED, *PICO_FOREIGN):
        of_it = [word for word, name in said_by if name.split("+")[0] == language]
        assert of_it == FIGURES * (len(of_it) // 10)
        assert of_it

"""A crew that calls in two languages: each person in a grammar of his own, or by either."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from calllog.audio import Utterance
from calllog.closing import Closes
from calllog.commands.engine import Engine, load_parser, load_words
from calllog.commands.knowing import NamedVoices, crew_voices
from calllog.commands.tongues import TongueOptions, grammars_by_channel
from calllog.errors import ConfigError, GrammarError
from calllog.office import replay_job
from calllog.recognise.engine import Hypothesis
from calllog.recognise.several import SeveralRecognisers, together
from calllog.session import Job
from calllog.spoken import Meaning, Parser, Rejection, Why, words
from calllog.values import Expectation, Kind, Role

SPANISH, ENGLISH = "es-feet", "en-us-feet"
BOTH = (SPANISH, ENGLISH)
LIMIT = 10_000


@pytest.fixture(scope="module")
def either() -> Parser:
    """Build the parser of both languages."""
    return load_parser(BOTH)


@pytest.mark.parametrize(
    ("said", "expects", "kind", "value"),
    [
        ("cuarenta y dos", Expectation.FRACTION, Kind.FRACTION, 42),
        ("forty two", Expectation.FRACTION, Kind.FRACTION, 42),
        ("quince", Expectation.WHOLE, Kind.WHOLE, 1500),
        ("fifteen", Expectation.WHOLE, Kind.WHOLE, 1500),
        ("quince cuarenta y dos", Expectation.READING, Kind.READING, 1542),
        ("fifteen forty two", Expectation.READING, Kind.READING, 1542),
    ],
)
def test_numbers_of_either_language_are_taken(
    either: Parser, said: str, expects: Expectation, kind: Kind, value: int
) -> None:
    """The same number in two languages is the same call."""
    found = either.parse(said, expects, LIMIT)
    assert isinstance(found, Meaning), found
    assert (found.kind, found.value) == (kind, value)


def test_half_a_number_of_each_language_is_none(either: Parser) -> None:
    """Words of two languages in one call are not put together."""
    found = either.parse("forty dos", Expectation.FRACTION, LIMIT)
    assert isinstance(found, Rejection)


def test_what_is_asked_in_one_language_is_asked_by_both(either: Parser) -> None:
    """One digit for hundredths is asked, in whichever language it is said."""
    for said in ("cinco", "five"):
        found = either.parse(said, Expectation.FRACTION, LIMIT)
        assert isinstance(found, Rejection)
        assert found.why is Why.SINGLE_DIGIT
    assert either.is_in_figures("one five four two")
    assert either.is_in_figures("uno cinco cuatro dos")


def test_no_phrase_means_one_thing_in_spanish_and_another_in_english() -> None:
    """What both have words for means the same in both, so that nothing is asked needlessly."""
    spanish, english = (load_words(name)[0] for name in BOTH)
    parsers = Parser(spanish), Parser(english)
    shared = sorted(words(spanish) & words(english))
    assert len(shared) < 10
    for count, expects in itertools.product((1, 2, 3), (Expectation.WHOLE, Expectation.FRACTION)):
        for said in itertools.product(shared, repeat=count):
            meanings = [
                found
                for parser in parsers
                if isinstance(found := parser.parse(" ".join(said), expects, LIMIT), Meaning)
            ]
            assert len(set(meanings)) < 2, said


class Fixed(Closes):
    """A recogniser that always hears the same."""

    def __init__(self, name: str, *heard: tuple[str, float]) -> None:
        self.identity = name
        self.is_closed = False
        self._heard = tuple(Hypothesis(*each) for each in heard)

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear it."""
        assert utterance.samples.size
        assert expects is Expectation.FRACTION
        return self._heard

    def close(self) -> None:
        """Note that it was closed."""
        self.is_closed = True


def utterance(channel: int) -> Utterance:
    """Make a sound of one channel."""
    sound = np.ones(1600, np.float32)
    return Utterance(sound, sound[:0], 0.0, 0.1, channel, "test", is_cut=False)


def test_each_person_is_heard_in_his_own_language() -> None:
    """The channel says which; a channel that nobody named has the job's own."""
    spanish = Fixed("one", ("cuarenta y dos", 0.9), ("", 0.1))
    english = Fixed("two", ("forty two", 0.8), ("", 0.2))
    with SeveralRecognisers(
        {SPANISH: spanish, ENGLISH: english}, {1: (ENGLISH,), 2: BOTH}, (SPANISH,)
    ) as engine:
        assert engine.identity == "one and two"
        assert engine.set_aside == ()
        heard = [engine.recognise(utterance(n), Expectation.FRACTION)[0].text for n in (0, 1)]
        assert heard == ["cuarenta y dos", "forty two"]
        by_both = engine.recognise(utterance(2), Expectation.FRACTION)
    assert [each.text for each in by_both] == ["cuarenta y dos", "forty two", ""]
    assert sum(each.probability for each in by_both) == pytest.approx(1.0)
    assert spanish.is_closed
    assert english.is_closed


def test_odds_of_two_languages_stand_beside_one_no_call() -> None:
    """Odds of 9 and of 1 to 1 against the same nothing: 9, 1 and 1 of eleven."""
    found = together(((Hypothesis("dos", 0.9),), (Hypothesis("two", 0.5), Hypothesis("", 0.5))))
    assert {each.text: each.probability for each in found} == pytest.approx(
        {"dos": 9 / 11, "two": 1 / 11, "": 1 / 11}
    )
    assert together(((), ())) == ()
    sure = together(((Hypothesis("dos", 1.0),), ()))
    assert sure[0].probability == pytest.approx(1.0)


def test_grammars_are_named_by_person_and_sorted_by_channel() -> None:
    """Left out, a person calls as before; the job's own grammar takes it back."""
    own = load_words(SPANISH)[0]

    def named(
        head: str | None, rear: str | None, before: Mapping[Role, tuple[str, ...]] | None = None
    ) -> dict[Role, tuple[str, ...]]:
        return TongueOptions(head, rear).by_role(before or {}, own, Engine.ENCODER)

    known = {Role.HEAD: (ENGLISH,)}
    assert named(None, None) == {}
    assert named(ENGLISH, None) == {Role.HEAD: (ENGLISH,)}
    assert named(None, None, known) == {Role.HEAD: (ENGLISH,)}
    assert named(SPANISH, None, known) == {}
    assert named(None, f"{SPANISH}, {ENGLISH}") == {Role.REAR: BOTH}
    spoken = {Role.HEAD: (ENGLISH,)}
    assert grammars_by_channel(spoken, [(Role.HEAD, Role.REAR)], SPANISH) == {0: (ENGLISH,)}
    assert grammars_by_channel(spoken, [(Role.UNSAID,)], SPANISH) == {0: (ENGLISH, SPANISH)}
    assert grammars_by_channel({}, [(Role.HEAD, Role.REAR)], SPANISH) == {}


def test_grammar_of_a_person_must_fit_the_job() -> None:
    """Another unit, no such grammar, an engine that knows one language: each says what next."""
    own = load_words(SPANISH)[0]
    with pytest.raises(ConfigError, match=r"--head-grammar: grammar en-metric calls meters"):
        TongueOptions(head_grammar="en-metric").by_role({}, own, Engine.ENCODER)
    with pytest.raises(GrammarError, match="no grammar fr-feet"):
        TongueOptions(rear_grammar="fr-feet").by_role({}, own, Engine.ENCODER)
    with pytest.raises(ConfigError, match="only the encoder model"):
        TongueOptions(head_grammar=ENGLISH).by_role({}, own, Engine.VOSK)


def test_job_remembers_by_which_grammar_each_person_calls(tmp_path: Path) -> None:
    """It is noted once, and again when it changes."""
    with Job.open(tmp_path / "job") as job:
        job.use_engine("an engine", SPANISH, {Role.HEAD: (ENGLISH,)})
        assert job.replay.spoken == {Role.HEAD: (ENGLISH,)}
    assert replay_job(tmp_path / "job").spoken == {Role.HEAD: (ENGLISH,)}
    with Job.open(tmp_path / "job") as job:
        job.use_engine("an engine", SPANISH, {})
        assert job.replay.spoken == {}


def test_grammar_in_a_voices_place_is_told_what_it_is(tmp_path: Path) -> None:
    """Who means the language of the rear is told by which option that is said."""
    named = NamedVoices(rear=SPANISH, folder=tmp_path)
    with pytest.raises(ConfigError, match=r"--rear: es-feet is a grammar.*--rear-grammar es-feet"):
        crew_voices({}, named)

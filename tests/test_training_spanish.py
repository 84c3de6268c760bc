"""The Spanish training: its voices apart, its phones by rule, every word of the grammars spelt."""

from __future__ import annotations

import itertools
import random

import pytest

from calllog.resources import read_grammar
from calllog.spoken import words
from models.training.es import voices
from models.training.es.phones import INDEX, UNITS, all_pronunciations, kokoro, phones, spellings
from models.training.es.plan import symbols
from models.training.languages import LANGUAGES
from tests.bench.spanish_talk import REPORTING_TALK, TUNING_TALK


def test_no_voice_is_in_two_lists() -> None:
    """What trains, tunes and tests are different voices."""
    trained = {
        *(f"kokoro-{name}" for name in (*voices.NATIVE, *voices.FOREIGN)),
        *(f"espeak-{name}" for name in voices.ESPEAK_VARIANTS),
        *(f"pico-{name}" for name in voices.PICO),
    }
    lists = (trained, set(voices.TUNING_VOICES), set(voices.TEST_VOICES))
    for one, other in itertools.combinations(lists, 2):
        assert not one & other


def test_no_sentence_both_tunes_and_reports() -> None:
    """Talk is told apart on sentences that nothing was fitted on."""
    assert not set(TUNING_TALK) & set(REPORTING_TALK)


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("cuarenta", "K W A R E N T A"),
        ("veintidós", "B E J N T I D O S"),
        ("cien", "S J E N"),
        ("diez", "D J E S"),
        ("ocho", "O CH O"),
        ("izquierda", "I S K J E R D A"),
        ("línea", "L I N E A"),
        ("guerra", "G E RR A"),
        ("agüita", "A G W I T A"),
        ("jala", "H A L A"),
        ("gente", "H E N T E"),
        ("lluvia", "Y U B J A"),
        ("enrollar", "E N RR O Y A R"),
        ("año", "A NY O"),
        ("y", "I"),
        ("hay", "A J"),
        ("taxi", "T A K S I"),
        ("huevo", "W E B O"),
        ("hierro", "Y E RR O"),
        ("quince", "K I N S E"),
        ("ciudad", "S J U D A D"),
    ],
)
def test_spelling_gives_the_sounds_of_american_spanish(word: str, said: str) -> None:
    """Phonemes as in the Real Academia's description: seseo, yeísmo, mute h and u after q and g."""
    assert " ".join(phones(word)) == said


def test_what_regions_say_otherwise_is_another_spelling() -> None:
    """An s that is breathed or dropped, a d that is dropped, diphthongs that are simple."""
    assert {"dos", "doj", "do"} == set(spellings("dos"))
    assert {"estación", "ejtación"} == set(spellings("estación"))
    assert "terminao" in spellings("terminado")
    assert "verdá" in spellings("verdad")
    assert "trenta" in spellings("treinta")
    assert {"ventidós", "vintidó"} < set(spellings("veintidós"))
    assert ("K", "W", "A", "R", "E", "N", "T") in all_pronunciations("cuarenta")


@pytest.mark.parametrize("name", ["es-feet", "es-metric"])
def test_every_word_of_the_grammars_is_spelt_in_units(name: str) -> None:
    """Each word has a pronunciation in units of the network."""
    for word in words(read_grammar(name)):
        ways = all_pronunciations(word)
        assert ways, word
        assert all(set(way) <= INDEX.keys() for way in ways), word


def test_blank_is_the_first_unit_of_each_language() -> None:
    """What CTC needs: unit 0 is the blank, and no unit stands twice."""
    for language in LANGUAGES.values():
        assert language.units[0] == "<blk>"
        assert len(set(language.units)) == len(language.units)
    assert LANGUAGES["es"].units == UNITS


def test_voices_are_given_what_the_spelling_says() -> None:
    """B, d and g are soft after a vowel; a j for an s is but a breath; accents are as asked."""
    assert kokoro("cuarenta", manner="american") == "kwaɾˈenta"  # noqa: RUF001 - as phonetics writes stress
    assert symbols(["y", "dos"], "american") == "i ðˈos"  # noqa: RUF001 - as phonetics writes stress
    assert symbols(["doj"], "american") == "dˈoh"  # noqa: RUF001 - as phonetics writes stress
    assert kokoro("cinco", manner="lisped") == "θˈinko"  # noqa: RUF001 - as phonetics writes stress
    assert "ɹ" in kokoro("tres", manner="english")


def test_plan_says_only_what_it_labels() -> None:
    """Each stretch's phones are those of the words that are spoken."""
    plan = pytest.importorskip("models.training.es.plan")
    if not plan.DICTIONARY.exists():
        pytest.skip("Debian's wspanish is not installed")
    grammars = plan.spanish_grammars()
    speaker = plan.Speaker(grammars, random.Random(1))  # noqa: S311 - no secret
    for _ in range(200):
        for word in speaker.spell(speaker.draw()):
            assert phones(word), word

"""Voices that the program learns: what is learned, kept, trusted and refused."""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from calllog.audio import Utterance
from calllog.audio.events import Event, Sound
from calllog.commands.knowing import NamedVoices, by_channel, crew_voices, offer_learning
from calllog.commands.rehearsing import Rehearsal
from calllog.errors import ConfigError, ModelError
from calllog.office import replay_job
from calllog.recognise import Hypothesis, understand
from calllog.recognise.encoder import WIDTH
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.encoder_model import load_encoder_model
from calllog.recognise.evidence import Evidence, halfway
from calllog.recognise.known_voice import (
    ASIDE,
    NEUTRAL,
    KnownVoice,
    Trust,
    is_supported,
    require_made_for,
)
from calllog.recognise.known_words import POINTS, WEIGHT, KnownWords
from calllog.recognise.learning import Lesson, Sums, learn, shifted
from calllog.recognise.shift import Shift, of_rank
from calllog.recognise.voiceprint import Voiceprint, print_of, trait_of
from calllog.recognise.word_learning import Stretch, learn_words, sharpness_of, stretches
from calllog.resources import ENCODER_MODEL, model_folder, read_grammar
from calllog.session import Job, Replay
from calllog.session.kinds import VoiceKnown
from calllog.spoken import Grammar, Meaning, Parser
from calllog.values import NUMBERS, Booking, Expectation, Kind, Role
from calllog.voices import (
    Misheard,
    Profile,
    digest_of,
    forget,
    known_voices,
    read_voice,
    voices_folder,
    write_voice,
)
from calllog.voices.clips import FEWEST, Said, read_clips
from calllog.voices.enrolling import Tried
from calllog.voices.job_calls import agreed_calls
from calllog.voices.profile import components_of, kept_words, steps
from calllog.voices.rehearsal import Ours, Yours, numbers, pulls
from tests.bench.voices import synthesise
from tests.commanding import run
from tests.consenting import agree
from tests.soundjob import HEAD_CALLS, PULL, REAR_CALLS, Crew
from tests.test_session_job import PaperClock

HEAD = "0" * 64
VALUES, UNITS = 6, 4


def shift(seed: int = 1) -> Shift:
    """Make a shift of rank 2."""
    rng = np.random.default_rng(seed)
    return of_rank(rng.normal(size=(VALUES, UNITS)), rng.normal(size=UNITS), 2)


def voiceprint(hz: float = 120.0) -> Voiceprint:
    """Make a voiceprint with a pitch."""
    return Voiceprint(np.append(np.zeros(12), math.log(hz)), np.append(np.ones(12), 0.06))


def known_words(seed: int = 2) -> KnownWords:
    """Make how a voice says two words, of rank 2."""
    rng = np.random.default_rng(seed)
    its = of_rank(rng.normal(size=(VALUES, 2 * POINTS)), rng.normal(size=2), 2)
    return KnownWords(("four", "oh"), its.reads, its.moves, its.bias, 8.0)


def profile(name: str = "Ash", hz: float = 120.0) -> Profile:
    """Make a profile."""
    its = voiceprint(hz)
    return Profile(
        name=name,
        made="2026-11-28",
        calls=24,
        head=HEAD,
        encoder=HEAD,
        components=components_of(shift()),
        bias=steps(shift().bias),
        mean=steps(its.mean),
        spread=steps(its.spread),
        gained_nats=0.5,
        misheard=(Misheard(said="four", heard="oh", times=2),),
        said=("four", "oh", "two"),
        words=kept_words(known_words()),
    )


def by_hand(probabilities: np.ndarray, way: tuple[int, ...]) -> float:
    """Sum over all paths of units and blanks that say a way; every path is looked at."""
    total = 0.0
    for path in itertools.product(range(probabilities.shape[1]), repeat=len(probabilities)):
        said = tuple(unit for unit, _ in itertools.groupby(path) if unit)
        if said == way:
            total += float(
                np.prod([row[unit] for row, unit in zip(probabilities, path, strict=True)])
            )
    return total


def random_outputs(frames: int, seed: int) -> np.ndarray:
    """Make log-probabilities, shape (frames, UNITS)."""
    logits = np.random.default_rng(seed).normal(size=(frames, UNITS))
    found: np.ndarray = logits - np.log(np.exp(logits).sum(axis=1, keepdims=True))
    return found.astype(np.float32)


def test_sum_is_that_over_all_paths() -> None:
    """Calls of unlike length with several ways give what looking at each path gives."""
    ways = (((1, 2), (3,)), ((2, 2),))
    outputs = [random_outputs(5, 1), random_outputs(4, 2)]
    lessons = [
        Lesson(rows, np.zeros((len(rows), VALUES), np.float32), of)
        for rows, of in zip(outputs, ways, strict=True)
    ]
    found = Sums(lessons).nats(np.concatenate(outputs))
    for nats, rows, of in zip(found, outputs, ways, strict=True):
        wanted = sum(by_hand(np.exp(rows.astype(float)), way) for way in of)
        assert nats == pytest.approx(math.log(wanted), abs=1e-6)


def test_pull_is_the_slope_of_the_sum() -> None:
    """What a frame is asked for is how the sum grows with that logit, tried by a small step."""
    outputs = [random_outputs(5, 3), random_outputs(6, 4)]
    lessons = [
        Lesson(rows, np.zeros((len(rows), VALUES), np.float32), of)
        for rows, of in zip(outputs, (((1, 2), (1, 3, 2)), ((3,),)), strict=True)
    ]
    sums, every = Sums(lessons), np.concatenate(outputs).astype(np.float64)
    _, stands = sums.pull(every.astype(np.float32))
    assert stands.sum(axis=1) == pytest.approx(np.ones(11), abs=1e-6)
    for frame, unit in ((0, 1), (4, 2), (7, 3), (10, 0)):
        moved = [every.copy(), every.copy()]
        for each, step in zip(moved, (-0.01, 0.01), strict=True):
            each[frame, unit] += step
        low, high = (sums.nats(each.astype(np.float32)).sum() for each in moved)
        assert stands[frame, unit] == pytest.approx((high - low) / 0.02, abs=1e-3)


def taught(seed: int, count: int) -> list[Lesson]:
    """Make calls of a voice whose units stand where the network does not look for them."""
    weights = (np.eye(VALUES, UNITS) * 2.0).astype(np.float32)
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        way = tuple(int(each) for each in rng.integers(1, UNITS, 2))
        rows = [0, way[0], way[0], 0, way[1], way[1], 0]
        hidden = np.eye(VALUES)[[row + 1 for row in rows]] * 3.0
        inner = (hidden + rng.normal(0, 0.2, hidden.shape)).astype("f")
        found.append(
            Lesson(shifted(np.zeros((len(rows), UNITS), "f"), inner @ weights), inner, (way,))
        )
    return found


def test_what_is_learned_helps_calls_that_were_left_out() -> None:
    """A voice whose values are displaced is heard by what twelve of its calls taught."""

    def nats(lessons: list[Lesson], known: Shift | None) -> float:
        outputs = np.concatenate([each.outputs for each in lessons])
        if known is not None:
            inner = np.concatenate([each.inner for each in lessons])
            outputs = shifted(outputs, known.logits(inner))
        return float(Sums(lessons).nats(outputs).mean())

    tested = taught(2, 8)
    found = learn(taught(1, 12))
    assert nats(tested, found) > nats(tested, None) + 1.0
    again = learn(taught(3, 12), found)
    assert nats(tested, again) > nats(tested, found) - 0.1


def test_unit_that_was_not_said_is_not_moved() -> None:
    """Nothing was heard of it that could tell how it sounds."""
    lessons = [each for each in taught(5, 30) if 3 not in each.ways[0]]
    found = learn(lessons)
    moved = np.abs(found.weights).max(axis=0) + np.abs(found.bias)
    assert moved[3] < 1e-6
    assert moved[:3].min() > 1e-2


def spoken_words(seed: int, calls: int, spread: float = 0.3) -> list[Stretch]:
    """Make calls of three words, each of which moves through the inner layer in its own way."""
    ways = np.random.default_rng(1).normal(size=(3, 2, VALUES))
    rng = np.random.default_rng(seed)
    found = []
    for call in range(calls):
        which = call % 3
        along = np.linspace(0.0, 1.0, int(rng.integers(6, 14)))[:, None]
        inner = ways[which, 0] * (1.0 - along) + ways[which, 1] * along
        inner = np.asarray(inner + rng.normal(0, spread, inner.shape), np.float32)
        found.append(Stretch(("one", "two", "six")[which], call, inner, 1, len(inner) - 2))
    return found


def test_words_are_told_apart_and_never_gain() -> None:
    """Of calls that were left out each is its own word; other words lose, and none gains."""
    known = learn_words(spoken_words(3, 12), 8.0)
    assert known is not None
    assert known.words == ("one", "six", "two")
    for each in spoken_words(4, 9):
        factors = known.factors(each.inner, 99)
        here = {word: by[each.last - each.first, each.first] for word, by in factors.items()}
        assert max(here, key=here.__getitem__) == each.word
        assert here[each.word] == 1.0
        assert sorted(here.values())[1] < 0.1
        assert all((by > 0.0).all() and (by <= 1.0).all() for by in factors.values())


def test_factor_is_what_the_points_of_a_stretch_say() -> None:
    """The stretch's five points by the weights, worked out one by one."""
    known, rng = known_words(), np.random.default_rng(7)
    inner = rng.normal(size=(9, VALUES)).astype(np.float32)
    first, longer = 2, 6
    at = [first + round(longer * point / (POINTS - 1)) for point in range(POINTS)]
    scores = inner[at].ravel() @ known.weights + known.bias
    wanted = np.exp(WEIGHT * known.sharpness * (scores - scores.max()))
    found = [known.factors(inner, 7)[word][longer, first] for word in known.words]
    assert found == pytest.approx(np.maximum(wanted, math.exp(-25.0)), rel=1e-3)


def test_words_that_do_not_tell_apart_are_not_kept() -> None:
    """Half of what was said under a wrong name teaches nothing; what is sharp is told so."""
    taught, tested = spoken_words(5, 12), spoken_words(6, 12)
    known = learn_words(taught, 1.0)
    assert known is not None
    moved = [replace(each, word=other.word) for each, other in itertools.pairwise(tested)]
    assert sharpness_of([(known, tested)]) > 4.0
    assert sharpness_of([(known, moved)]) == 0.0
    assert sharpness_of([]) == 0.0
    assert learn_words(taught[:1], 1.0) is None


def test_word_that_was_known_before_is_not_forgotten() -> None:
    """Calls of one word alone leave the others as they were."""
    before = learn_words(spoken_words(3, 12), 8.0)
    again = [each for each in spoken_words(8, 12) if each.word == "two"]
    more = learn_words([*again, *(each for each in spoken_words(9, 12) if each.word == "one")], 8.0)
    after = learn_words(again, 8.0, before)
    assert more is not None
    assert more.words == ("one", "two")
    assert after is before


def test_stretch_is_where_the_units_of_its_word_are() -> None:
    """Blanks around a word are not of it, those within are."""
    outputs = np.log(np.full((8, UNITS), 1e-3, np.float32))
    for frame, unit in enumerate((0, 1, 0, 2, 0, 3, 3, 0)):
        outputs[frame, unit] = 0.0
    inner = np.zeros((8, VALUES), np.float32)
    found = stretches((("one", (1, 2)), ("two", (3,))), outputs, inner, 5)
    assert [(each.word, each.first, each.last) for each in found] == [("one", 1, 3), ("two", 5, 6)]
    assert stretches((("one", (1, 2, 3, 1, 2)),), outputs, inner, 5) == ()


def test_contradicted_voice_is_asked() -> None:
    """Where sound and profile contradict each other, neither is taken."""
    one = (Hypothesis("four", 0.98), Hypothesis("", 0.01))
    other = (Hypothesis("five", 0.9), Hypothesis("four", 0.08))
    found = halfway(one, other)
    assert [each.text for each in found] == ["four", "five", ""]
    assert max(each.probability for each in found) < 2.0 / 3.0
    assert sum(each.probability for each in found) <= 1.0


def test_profile_is_a_small_plain_file_without_sound(tmp_path: Path) -> None:
    """It comes back as it was, to the rounding; the hash is that of the file's own text."""
    made = profile()
    path = write_voice(made, tmp_path / "voices")
    assert read_voice("Ash", tmp_path / "voices") == made
    assert path.stat().st_size < 8_000
    assert made.voice.said == ("four", "oh", "two")
    assert made.voice.words is not None
    assert made.voice.words.words == ("four", "oh")
    assert np.abs(made.voice.words.weights - known_words().weights).max() < 0.1
    assert made.voice.words.sharpness == 8.0
    assert json.loads(path.read_text("utf-8"))["name"] == "Ash"
    assert np.abs(made.shift.weights - shift().weights).max() < 0.1
    assert np.abs(made.shift.bias - shift().bias).max() < 1e-3
    assert made.voiceprint.mean[-1] == pytest.approx(math.log(120.0), abs=1e-3)
    assert len(digest_of(made)) == 64
    assert digest_of(made) != digest_of(made.model_copy(update={"calls": 25}))
    assert path.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    ("what", "value"),
    [
        ("bias", [1, 2]),
        ("mean", [0]),
        ("spread", [0] * 13),
        ("components", []),
        ("head", "x"),
        ("format", 4),
        ("said", ["../x"]),
        ("words", {"words": ["four"], "components": [], "bias": [0], "sharpness": 8.0}),
        ("words", kept_words(known_words()).model_dump(mode="json") | {"bias": [0]}),
        ("words", kept_words(known_words()).model_dump(mode="json") | {"sharpness": 0.0}),
        ("components", [{"reads": "AAA", "moves": "AAAA", "size": 1.0}]),
    ],
)
def test_broken_profile_says_what_to_do(tmp_path: Path, what: str, value: object) -> None:
    """A file that somebody changed is refused by name, with what comes next."""
    path = write_voice(profile(), tmp_path)
    kept = json.loads(path.read_text("utf-8"))
    path.write_text(json.dumps(kept | {what: value}), "utf-8")
    with pytest.raises(ConfigError, match=r"Ash\.voice\.json: this is no voice .* enroll"):
        read_voice("Ash", tmp_path)


def test_voices_are_listed_and_removed(tmp_path: Path) -> None:
    """Who is not there is told from who is; a file under another's name is refused."""
    write_voice(profile("Ash"), tmp_path)
    write_voice(profile("Rowan O'Neil"), tmp_path)
    assert known_voices(tmp_path) == ("Ash", "Rowan O'Neil")
    with pytest.raises(ConfigError, match=r"no voice of Elm.*there are: Ash, Rowan"):
        read_voice("Elm", tmp_path)
    (tmp_path / "Elm.voice.json").write_text((tmp_path / "Ash.voice.json").read_text("utf-8"))
    with pytest.raises(ConfigError, match="says that it is the voice of Ash"):
        read_voice("Elm", tmp_path)
    forget("Ash", tmp_path)
    assert known_voices(tmp_path) == ("Elm", "Rowan O'Neil")
    with pytest.raises(ConfigError, match="no voice of Ash"):
        forget("Ash", tmp_path)
    for name in ("../Ash", "", "a/b", ".Ash", "x" * 41):
        with pytest.raises(ConfigError, match="cannot name a voice"):
            read_voice(name, tmp_path)
    assert voices_folder().name == "voices"


def spoken(hz: float, seed: int) -> np.ndarray:
    """Make a second of something that has a pitch, as a voice has."""
    rng = np.random.default_rng(seed)
    at_s = np.arange(16_000) / 16_000
    bent = hz * (1.0 + 0.02 * np.sin(2 * np.pi * 3 * at_s + rng.uniform(0, 6)))
    phase = 2 * np.pi * np.cumsum(bent) / 16_000
    sound = sum(np.sin(k * phase) / k for k in range(1, 15))
    loud = np.interp(at_s, [0, 0.2, 0.5, 0.8, 1], [0, 1, 0.3, 1, 0])
    return np.asarray(0.1 * sound * loud + rng.normal(0, 1e-3, 16_000), np.float32)


def test_pitch_tells_one_voice_from_another() -> None:
    """A voice is near to itself, and another pitch is far; noise tells nothing."""
    known = print_of(
        [trait for seed in range(8) if (trait := trait_of(spoken(115.0, seed))) is not None]
    )
    assert math.exp(known.mean[-1]) == pytest.approx(115.0, rel=0.03)
    own, other = (known.distance(trait_of(spoken(hz, 20))) for hz in (117.0, 190.0))
    assert own is not None
    assert other is not None
    assert own < 1.5
    assert other > NEUTRAL
    noise = np.random.default_rng(1).normal(0, 0.1, 16_000).astype(np.float32)
    assert known.distance(trait_of(noise)) is None
    assert trait_of(noise[:1_000]) is None


def known(name: str, hz: float) -> KnownVoice:
    """Make a voice with a pitch."""
    return KnownVoice(name, (HEAD, HEAD), shift(), voiceprint(hz))


def trait(hz: float) -> np.ndarray:
    """Make what a call of a pitch tells."""
    return np.append(np.zeros(12), math.log(hz))


def test_voice_of_another_is_not_heard_by_and_set_aside() -> None:
    """Its first call is heard as anybody's already; then it is told; the right one comes back."""
    trust = Trust([known("Ash", 120.0)])
    assert trust.meet(0.0, trait(210.0)) == ()
    for start_s in range(1, 8):
        assert trust.meet(float(start_s), trait(210.0)) == ()
    assert trust.is_set_aside == (True,)
    for start_s in range(8, 24):
        trust.meet(float(start_s), trait(120.0))
    assert trust.meet(30.0, trait(120.0)) == (0,)
    assert trust.is_set_aside == (False,)
    assert ASIDE < 0.0


def test_of_two_voices_on_one_microphone_the_right_one_is_taken() -> None:
    """Both people share it; each call is heard as whose it is."""
    trust = Trust([known("Ash", 120.0), known("Rowan", 200.0)])
    for start_s in range(6):
        trust.meet(float(start_s), trait((120.0, 200.0)[start_s % 2]))
    assert trust.meet(10.0, trait(120.0))[:1] == (0,)
    assert trust.meet(11.0, trait(200.0))[:1] == (1,)


def test_call_that_is_heard_again_counts_once() -> None:
    """What went on after a pause stands in place of what was heard of it before."""
    once, again = Trust([known("Ash", 120.0)]), Trust([known("Ash", 120.0)])
    for _ in range(5):
        again.meet(1.0, trait(210.0))
    once.meet(1.0, trait(210.0))
    assert once.is_set_aside == again.is_set_aside == (False,)


def test_sound_that_a_voice_makes_less_likely_is_heard_without_it() -> None:
    """So a profile that was learned from noise cannot speak."""
    plain = Evidence((), (), -10.0, -30.0, -20.0, 50, 0.5, {})
    assert is_supported(replace(plain, first_nats=-9.0), plain)
    assert not is_supported(replace(plain, first_nats=-13.0), plain)
    assert not is_supported(replace(plain, first_nats=-math.inf, also_nats=-math.inf), plain)


def test_voice_of_another_model_is_refused() -> None:
    """It says to enroll again: for another network, another encoder, or another layer."""
    rng = np.random.default_rng(3)
    model = load_encoder_model(model_folder(ENCODER_MODEL), frozenset({"forty"}))
    fits = of_rank(rng.normal(size=(WIDTH, len(model.units))), rng.normal(size=len(model.units)), 2)
    head, encoder = model.made_of
    require_made_for(KnownVoice("Ash", (head, encoder), fits, voiceprint()), model)
    for made_of, what in (
        ((HEAD, encoder), fits),
        ((head, HEAD), fits),
        ((head, encoder), shift()),
    ):
        with pytest.raises(ModelError, match="another model; enroll again: calllog enroll 'Ash'"):
            require_made_for(KnownVoice("Ash", made_of, what, voiceprint()), model)


def test_voice_of_an_earlier_calllog_is_read_and_told_to_be_learned_again(tmp_path: Path) -> None:
    """Its file is listed and still tells whose voice it is; nothing is heard by it."""
    path = write_voice(profile(), tmp_path)
    path.write_text(path.read_text("utf-8").replace('"format": 3', '"format": 1'), "utf-8")
    before = read_voice("Ash", tmp_path)
    assert before.format == 1
    assert before.voiceprint.mean[-1] == pytest.approx(math.log(120.0), abs=1e-3)
    model = load_encoder_model(model_folder(ENCODER_MODEL), frozenset({"forty"}))
    with pytest.raises(ModelError, match="enroll again: calllog enroll 'Ash'"):
        require_made_for(before.voice, model)


def test_voice_of_the_calllog_before_is_heard_by_what_it_shifts(tmp_path: Path) -> None:
    """Its words were not kept: all are heard by it, none by how it says them."""
    path = write_voice(profile(), tmp_path)
    kept = json.loads(path.read_text("utf-8"))
    del kept["said"], kept["words"]
    path.write_text(json.dumps(kept | {"format": 2}), "utf-8")
    before = read_voice("Ash", tmp_path)
    assert (before.format, before.voice.said, before.voice.words) == (2, (), None)
    assert np.array_equal(before.voice.shift.weights, profile().shift.weights)


@pytest.mark.parametrize(
    ("table", "match"),
    [
        ("file,text\n", "columns are file,text; let the first line be file,expects,text"),
        ("file,expects,text\na.wav,feet,four\n", r"line 2: 'feet' is nothing"),
        ("file,expects,text\na.wav,whole,hello\n", r"line 2: 'hello' is no number"),
        ("file,expects,text\na.wav,fraction,seven\n", r"line 2: 'seven' is no number"),
        ("file,expects,text\n../a.wav,whole,ten\n", r"names no file in this folder"),
        ("file,expects,text\na.wav,whole,ten\n", "a.wav: no such file"),
    ],
)
def test_table_of_clips_says_which_line_is_wrong(
    tmp_path: Path, parser: Parser, table: str, match: str
) -> None:
    """What, where, what next."""
    (tmp_path / "said.csv").write_text(table, "utf-8")
    with pytest.raises(Exception, match=match):
        read_clips(tmp_path, parser)


def test_folder_without_table_is_told(tmp_path: Path, parser: Parser) -> None:
    """It says which columns."""
    with pytest.raises(ConfigError, match=r"said\.csv.*file,expects,text"):
        read_clips(tmp_path, parser)


def test_silent_clip_is_no_call(tmp_path: Path, parser: Parser) -> None:
    """It stays in the list, without sound, so that it is told."""
    (tmp_path / "said.csv").write_text("file,expects,text\na.wav,whole,Ten\n", "utf-8")
    soundfile.write(tmp_path / "a.wav", np.zeros(16_000), 16_000)
    (said,) = read_clips(tmp_path, parser)
    assert (said.texts, said.utterance, said.name) == (("ten",), None, "a.wav")


def test_only_pulls_that_agreed_are_learned_from(tmp_path: Path, parser: Parser) -> None:
    """Each person's calls are those of that microphone; a pull that waits teaches nothing."""
    with Job.open(tmp_path / "job", clock=PaperClock()) as job:
        agree(job)
        crew = Crew(job, parser)
        crew.say(*PULL)
        crew.say((1, "sixteen"), (0, "forty three"))
        numbers = [
            {call.number for call in agreed_calls(job.replay, role)}
            for role in (Role.HEAD, Role.REAR)
        ]
        assert numbers == [set(HEAD_CALLS) - {3}, set(REAR_CALLS)]
    assert agreed_calls(Replay(), Role.HEAD) == ()


def test_job_remembers_whose_voices_they_are(tmp_path: Path) -> None:
    """Once for each change, with the hash; nobody is an answer too."""
    with Job.open(tmp_path / "job", clock=PaperClock()) as job:
        for name, digest in (("Ash", HEAD), ("Ash", HEAD), ("", "")):
            job.use_voice(Role.HEAD, name, digest)
        entries = job.replay.speakers
        assert entries[Role.HEAD].name == ""
        job.use_voice(Role.HEAD, "Ash", HEAD)
    again = replay_job(tmp_path / "job").speakers
    assert (again[Role.HEAD].name, again[Role.HEAD].profile_sha256) == ("Ash", HEAD)
    assert Role.REAR not in again


@pytest.mark.parametrize("name", ["en-us-feet", "es-feet"])
def test_numbers_that_are_shown_are_two_dozen_and_each_is_one(name: str) -> None:
    """Every figure is in them, teens and tys beside each other."""
    grammar = read_grammar(name)
    parser, played = Parser(grammar), pulls(grammar)
    calls = [*numbers(grammar), *(each for each in played if isinstance(each, Yours))]
    assert len(calls) == 24
    for each in calls:
        meant = parser.parse(each.text, each.expects, 10_000)
        assert isinstance(meant, Meaning)
        assert meant.kind in NUMBERS
    said = " ".join(each.text for each in calls).split()
    assert all({*forms} & {*said} for forms in grammar.digits.values())
    assert {*grammar.digits["0"]} <= {*said}
    for ours in (each for each in played if isinstance(each, Ours)):
        expects = Expectation.WHOLE if ours.kind is Kind.WHOLE else Expectation.FRACTION
        found = parser.parse(ours.text, expects, 10_000)
        assert isinstance(found, Meaning)
        assert (found.kind, found.value, found.name) == (ours.kind, ours.value, ours.name)


class PaperRehearsal(Rehearsal):
    """A rehearsal in which each call is made at once, without sound."""

    def call(self, wanted: Yours, place: str) -> Utterance | None:
        """Take the call as made."""
        assert wanted.text
        sound = np.zeros(16, np.float32)
        self.made = getattr(self, "made", 0) + 1
        start_s = 3.0 * self.made
        return Utterance(sound, sound[:0], start_s, start_s + 1.0, 0, place, is_cut=False)

    def pulls(self, job: Job) -> None:
        """Keep what came of them."""
        super().pulls(job)
        self.segments = list(job.replay.segments)


def test_rehearsal_has_two_pulls_and_a_stop(grammar: Grammar, parser: Parser) -> None:
    """The program answers as on the line; the swapped digits stop the second pull."""
    shown: list[str] = []
    played = PaperRehearsal(None, grammar, parser, None, None, shown.append)  # type: ignore[arg-type]
    played.run()
    assert [each.take.length for each in played.segments] == [1542, 9031]
    assert [each.length for each in played.segments[1].superseded] == [9013, 9031]
    assert {each.booking for each in played.segments} == {Booking.AGREED}
    assert any("measure again" in line for line in shown)
    assert sum(isinstance(each, Ours) for each in pulls(grammar)) == 11


def test_commands_say_what_they_need(tmp_path: Path) -> None:
    """Two sources, a job without a role, no voice to remove: each says what next."""
    folder = str(tmp_path)
    twice = run("enroll", "Ash", "--clips", folder, "--microphone", "x", "--voices", folder)
    assert twice.returncode == 1
    assert "one thing at a time" in twice.stderr
    half = run("enroll", "Ash", "--job", folder, "--voices", folder)
    assert "a job has two voices" in half.stderr
    assert "No voice is kept" in run("voices", "--voices", folder).stdout
    assert "there is no voice of Ash" in run("voices", "Ash", "--remove", "--voices", folder).stderr
    heard = run("hear", "--engine", "numbers", "--speaker", "Ash", "--voices", folder, "x.flac")
    assert "only the encoder model can know a voice" in heard.stderr


def test_voice_is_shown_listed_and_removed_by_command(tmp_path: Path) -> None:
    """What is kept is told in words: no sound, the pitch, what was misheard, the hash."""
    write_voice(profile(), tmp_path)
    folder = str(tmp_path)
    assert "Ash: learned from 24 calls" in run("voices", "--voices", folder).stdout
    shown = run("voices", "Ash", "--voices", folder).stdout
    for part in ("no sound", "120 Hz", '"four" was heard as "oh"', digest_of(profile())):
        assert part in shown
    assert "removed" in run("voices", "Ash", "--remove", "--voices", folder).stdout
    assert known_voices(tmp_path) == ()


class PaperMicrophone:
    """Plays a sound in blocks of 50 ms, then silence; its clock goes with the sound."""

    def __init__(self, sound: np.ndarray) -> None:
        self.sound, self.at = sound, 0

    def read(self, timeout_s: float) -> Event:
        """Give the next block."""
        assert timeout_s > 0.0
        block = np.zeros(800, np.float32)
        here = self.sound[self.at : self.at + 800]
        block[: len(here)] = here
        self.at += 800
        return Sound(block[:, None], (self.at - 800) / 16_000)

    def clock(self) -> float:
        """Tell how much was given out [s]."""
        return self.at / 16_000


class PaperEnroller:
    """Finds the first call bad and all others good."""

    def __init__(self) -> None:
        self.tried: list[Said] = []

    def try_call(self, said: Said) -> Tried:
        """Keep it."""
        self.tried.append(said)
        return Tried(said.name, said.texts[0], "", is_good=len(self.tried) > 1)


def test_call_that_does_not_sound_like_it_is_asked_once_more(
    grammar: Grammar, parser: Parser
) -> None:
    """What was said is found in the sound, tried, and shown again until it is good."""
    sound, _ = soundfile.read("tests/audio/flite-slt/fifteen.flac", dtype="float32")
    gap = np.zeros(24_000, np.float32)
    microphone = PaperMicrophone(np.concatenate([gap, sound, gap, sound, gap]))
    enroller, shown = PaperEnroller(), list[str]()
    played = Rehearsal(
        enroller,  # type: ignore[arg-type]
        grammar,
        parser,
        microphone,
        None,
        shown.append,
        microphone.clock,
    )
    assert played.call(Yours(Expectation.WHOLE, "fifteen"), "1/18") is not None
    assert [each.texts for each in enroller.tried] == [("fifteen",), ("fifteen",)]
    assert [line.partition("  ")[0] for line in shown] == [
        "1/18",
        "That did not sound like it; say it once more.",
        "1/18",
    ]
    with pytest.raises(ConfigError, match="nothing is heard"):
        played.call(Yours(Expectation.WHOLE, "fifteen"), "2/18")


def said_by(voice: str, folder: Path, calls: int) -> None:
    """Let a synthetic voice say numbers into a folder, with the table of what they are."""
    folder.mkdir()
    rows = ["file,expects,text"]
    for number, each in enumerate(numbers(read_grammar())[:calls]):
        sound = synthesise(each.text, voice)
        gap = np.zeros(16_000, np.float32)
        soundfile.write(folder / f"{number}.flac", np.concatenate([gap, sound, gap]), 16_000)
        rows.append(f"{number}.flac,{each.expects.value},{each.text}")
    (folder / "said.csv").write_text("\n".join(rows) + "\n", "utf-8")


@pytest.mark.slow
def test_voice_is_learned_and_another_is_heard_as_without(
    tmp_path: Path, grammar: Grammar, parser: Parser
) -> None:
    """The numbers that are shown make a small file; its own call is heard by it, not another's."""
    folder = str(tmp_path / "voices")
    clips = tmp_path / "clips"
    said_by("flite-slt", clips, 18)
    done = run("enroll", "Elm", "--clips", str(clips), "--voices", folder)
    assert done.returncode == 0, done.stderr
    assert "No sound is kept" in done.stdout.partition("is learned from")[0]
    made = read_voice("Elm", tmp_path / "voices")
    assert made.calls >= FEWEST
    assert len(made.text()) < 40_000
    assert {"four", "six", "sixteen"} <= {*made.said}
    assert "forty" not in made.said
    assert made.words is not None
    voice = made.voice
    plain = EncoderRecogniser(grammar, model_folder(ENCODER_MODEL))
    with (
        plain,
        EncoderRecogniser(grammar, model_folder(ENCODER_MODEL), voices={0: (voice,)}) as by_voice,
    ):
        for speaker, is_own in (("flite-slt", True), ("flite-rms", False)):
            is_heard_by = []
            for start_s, text in enumerate(("fifteen", "sixty", "one hundred", "ninety")):
                sound = synthesise(text, speaker)
                heard = Utterance(
                    sound, sound[:0], float(start_s), start_s + 0.9, 0, speaker, is_cut=False
                )
                one, other = (
                    each.recognise(heard, Expectation.WHOLE) for each in (plain, by_voice)
                )
                meant = understand(parser, other, Expectation.WHOLE, 10_000)
                assert meant.text == text or not is_own
                is_heard_by.append(one != other)
            assert any(is_heard_by) == is_own
    relabelled = (clips / "said.csv").read_text("utf-8").splitlines()
    moved = [each.partition(",")[2] for each in relabelled[2:]] + ["fraction,five five"]
    rows = [f"{number}.flac,{each}" for number, each in enumerate(moved)]
    (clips / "said.csv").write_text("\n".join([relabelled[0], *rows]) + "\n", "utf-8")
    wrong = run("enroll", "Oak", "--clips", str(clips), "--voices", folder)
    assert wrong.returncode == 1
    assert "sound like what they are to be" in wrong.stderr
    said_by("flite-rms", tmp_path / "others", 12)
    another = run("enroll", "Elm", "--clips", str(tmp_path / "others"), "--voices", folder)
    assert "do not sound like the voice of Elm" in another.stderr
    assert known_voices(tmp_path / "voices") == ("Elm",)


def test_names_are_those_of_before_unless_others_are_named(tmp_path: Path) -> None:
    """Left out, the job's own; nobody, if it is said; who has no voice here is told, not missed."""
    write_voice(profile("Ash"), tmp_path)
    before = {
        Role.HEAD: VoiceKnown(role=Role.HEAD, name="Ash", profile_sha256=HEAD),
        Role.REAR: VoiceKnown(role=Role.REAR, name="Elm", profile_sha256=HEAD),
    }
    same = crew_voices(before, NamedVoices(folder=tmp_path))
    assert [each.name for each in same.voices.values()] == ["Ash"]
    assert (same.settled, same.missing) == ((Role.HEAD,), ("Elm",))
    nobody = crew_voices(before, NamedVoices("none", "Ash", tmp_path))
    assert {role: each.name for role, each in nobody.voices.items()} == {Role.REAR: "Ash"}
    assert nobody.missing == ()
    with pytest.raises(ConfigError, match="no voice of Elm"):
        crew_voices({}, NamedVoices(head="Elm", folder=tmp_path))


def test_voice_may_be_heard_in_its_channel_alone(tmp_path: Path) -> None:
    """One microphone of both people may hear either of them."""
    for name in ("Ash", "Elm"):
        write_voice(profile(name), tmp_path)
    voices = crew_voices({}, NamedVoices("Ash", "Elm", tmp_path)).voices
    found = by_channel(voices, [(Role.REAR, Role.HEAD)])
    assert {channel: [each.name for each in those] for channel, those in found.items()} == {
        0: ["Elm"],
        1: ["Ash"],
    }
    (both,) = by_channel(voices, [(Role.UNSAID,)]).values()
    assert [each.name for each in both] == ["Ash", "Elm"]


def test_learning_is_offered_at_the_end_of_a_line_and_not_before(
    tmp_path: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the command to be typed; whose sound is not kept is not offered."""
    with Job.open(tmp_path / "job", clock=PaperClock()) as job:
        agree(job)
        crew = Crew(job, parser)
        nobody = crew_voices({}, NamedVoices(folder=tmp_path))
        for _ in range(6):
            crew.say(*PULL)
        offer_learning(job, nobody)
        assert not capsys.readouterr().out
        crew.say((0, "line finished"))
        offer_learning(job, nobody)
        offered = capsys.readouterr().out.replace("\n", " ")
        assert f"enroll Ash --job {tmp_path / 'job'} --role head" in offered
        assert "enroll Rowan" in offered
        offer_learning(job, None)
        assert not capsys.readouterr().out

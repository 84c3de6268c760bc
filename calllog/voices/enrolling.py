"""Calls of one person with known words in, that person's profile out; shell.

A call is learned from only if it sounds like what it is to be. Each is heard as it came, with pink
noise laid over it, slower and faster, so that what is learned holds in noise and haste too. Whether
it helps is tried on calls that were left out: a profile that does not help its own voice is not
made, and one that was made before must fit the voice that is heard now.
"""

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import numpy.typing as npt

from calllog.audio import RATE_HZ, Utterance
from calllog.errors import ConfigError
from calllog.recognise.encoder_engine import EncoderRecogniser, played
from calllog.recognise.encoder_model import ReadFrames
from calllog.recognise.frontend import surround
from calllog.recognise.known_voice import NEUTRAL, is_made_for
from calllog.recognise.known_words import KnownWords
from calllog.recognise.learning import Lesson, Sums, learn, shifted
from calllog.recognise.shift import Shift
from calllog.recognise.voiceprint import print_of, trait_of
from calllog.recognise.word_learning import AS_IT_IS, learn_words, sharpness_of, stretches
from calllog.recognise.word_sums import Units
from calllog.voices.clips import FEWEST, Said
from calllog.voices.profile import Misheard, Profile, components_of, kept_words, steps

GOOD_SHARE = 0.75
"""Of the calls that are given, so many must sound like what they are to be."""
MOST_BEHIND_NATS = 25.0
"""What is to have been said may be so much less likely than what was heard best."""
LEAST_FIT_NATS = -1.5
"""And may fit the sound so much worse than free speech, for each unit of it."""
MOST_WAYS = 4
"""Of saying one call that are learned from, likeliest first."""
MOST_CALLS = 200
"""The newest ones; more make it no better, and slow."""
NOISES_DB = (8.0, 15.0)
"""Of the speech over the noise that is laid over it."""
PACES = (0.93, 1.07)
"""At which it is played too."""
WORDS_NOISE_DB, WORDS_PACED_NOISE_DB = 3.0, 10.0
"""Of the speech over the noise in which words are learned beside: as it came, and at each pace."""
UNITS_LESSONS = 5
"""So many of the hearings of a call teach the units; all teach words."""
MOST_LESSONS = 240
"""So many hearings of calls are learned from, and never less than two of each call."""
FOLDS = 3
"""Each call is left out of one of so many trials, to see whether what is learned helps it."""
TRIAL_STEPS = 12
"""Of the search in such a trial, which is made without the noise that is laid over."""
MOST_GAIN_NATS = 5.0
"""No call that was left out tells more for or against."""
LEAST_GAIN_NATS = -0.5
"""What is learned may make calls that were left out so much less likely: of two dozen calls chance
leaves no finer measure, and what does not help is seldom heard by (`is_supported`)."""
MOST_MISHEARD = 8


@dataclass(frozen=True, slots=True)
class Tried:
    """A call as it was found."""

    name: str
    text: str
    """What it is to be, likeliest first."""
    heard: str
    """What it sounds like best, without any profile; empty for nothing."""
    is_good: bool
    lessons: tuple[Lesson, ...] = ()
    """As it came, in loud noise, slower, faster, in faint noise; then in louder noise, and in noise
    slower and faster."""
    words: tuple[tuple[str, Units], ...] = ()
    """Its words, each with the units by which it is likeliest."""
    traits: tuple[npt.NDArray[np.float64], ...] = ()
    """What it tells of its voice, as it came and in faint noise."""


class Enroller:
    """Tries calls by the encoder model, without any voice, and learns from them."""

    def __init__(self, recogniser: EncoderRecogniser) -> None:
        self._recogniser, self._model = recogniser, recogniser.model

    def try_call(self, said: Said) -> Tried:
        """Hear a call and judge whether it can be what it is to be."""
        text = said.texts[0]
        if said.utterance is None:
            return Tried(said.name, text, "", is_good=False)
        evidence = self._recogniser.listen(said.utterance, said.expects)
        listed = sorted((*evidence.first, *evidence.also), key=lambda each: -each.nats)
        heard = self._hear(said.utterance)
        outputs = self._model.outputs(heard, None)
        if not len(outputs) or not listed:
            return Tried(said.name, text, "", is_good=False)
        ways = self._ways(said.texts, outputs)
        if not ways:
            return Tried(said.name, text, listed[0].text, is_good=False)
        lesson = Lesson(outputs, heard.inner, ways)
        nats = float(Sums([lesson]).nats(outputs)[0])
        fit = (nats - evidence.loop_nats) / len(ways[0])
        is_good = listed[0].nats - nats <= MOST_BEHIND_NATS and fit >= LEAST_FIT_NATS
        if not is_good:
            return Tried(said.name, text, listed[0].text, is_good)
        loud, faint = (_in_noise(said.utterance, snr_db) for snr_db in NOISES_DB)
        paced = tuple(_at_pace(said.utterance, pace) for pace in PACES)
        beside = (
            _in_noise(said.utterance, WORDS_NOISE_DB),
            *(_in_noise(each, WORDS_PACED_NOISE_DB) for each in paced),
        )
        lessons = lesson, *(self._lesson(each, ways) for each in (loud, *paced, faint, *beside))
        told = (trait_of(each.samples) for each in (said.utterance, faint))
        traits = tuple(each for each in told if each is not None)
        words = self._words(said.texts, ways[0])
        return Tried(said.name, text, listed[0].text, is_good, lessons, words, traits)

    def _lesson(self, utterance: Utterance, ways: tuple[Units, ...]) -> Lesson:
        heard = self._hear(utterance)
        return Lesson(self._model.outputs(heard, None), heard.inner, ways)

    def learn(
        self, name: str, tried: Sequence[Tried], day: date, before: Profile | None = None
    ) -> Profile:
        """Learn a voice from its calls, and from what was learned of it before.

        Raises:
            ConfigError: too few of the calls are what they are to be, what is learned does not help
                the voice, or it is another one than before.
        """
        good = [each for each in tried if each.is_good][-MOST_CALLS:]
        if len(good) < max(FEWEST, GOOD_SHARE * len(tried)):
            raise ConfigError(
                f"only {len(good)} of {len(tried)} calls sound like what they are to be",
                where=name,
                next_step="enroll again in a quieter place, one call at a time; check that each"
                " file is of this person and holds what said.csv says",
            )
        shift = None if before is None else self._fits(before)
        traits = [one for each in good for one in each.traits]
        if len(traits) < len(good):
            raise ConfigError(
                "most of these calls have no pitch, as whispers and noise have none",
                where=name,
                next_step="enroll again, speaking up as on the line",
            )
        if before is not None:
            _refuse_other(name, before, traits)
        gained = self._left_out(good, shift)
        if gained <= LEAST_GAIN_NATS:
            raise ConfigError(
                "what was learned makes these calls less likely: the voice is heard better"
                " without it",
                where=name,
                next_step="nothing was kept; if other people or noise are in the sound, enroll"
                " again without them",
            )
        voiceprint = print_of(traits)
        head, encoder = self._model.made_of
        some = max(2, MOST_LESSONS // len(good))
        units = min(some, UNITS_LESSONS)
        found = learn([one for each in good for one in each.lessons[:units]], shift)
        goes_on = before is not None and shift is not None
        words = self._learn_words(good, some, found, before if goes_on else None)
        said = {word for each in good for word, _ in each.words}
        return Profile(
            name=name,
            made=day.isoformat(),
            calls=len(good) + (before.calls if before is not None and goes_on else 0),
            head=head,
            encoder=encoder,
            components=components_of(found),
            bias=steps(found.bias),
            mean=steps(voiceprint.mean),
            spread=steps(voiceprint.spread),
            gained_nats=round(gained, 3),
            misheard=_misheard(good),
            said=tuple(sorted(said.union(before.said if before is not None and goes_on else ()))),
            words=None if words is None else kept_words(words),
        )

    def _learn_words(
        self, good: Sequence[Tried], some: int, shift: Shift, before: Profile | None
    ) -> KnownWords | None:
        """Learn how a voice says its words; None where that tells too few of them apart."""
        known = None if before is None or before.words is None else before.words.known
        found = [
            [
                stretch
                for lesson in each.lessons[:some]
                for stretch in stretches(
                    each.words,
                    shifted(lesson.outputs, shift.logits(lesson.inner)),
                    lesson.inner,
                    call,
                )
            ]
            for call, each in enumerate(good)
        ]
        left_out = []
        for fold in range(FOLDS):
            rest = [
                one for call, those in enumerate(found) if call % FOLDS != fold for one in those
            ]
            out = [one for call, those in enumerate(found) if call % FOLDS == fold for one in those]
            if (words := learn_words(rest, 1.0, known, AS_IT_IS)) is not None:
                left_out.append((words, out))
        sharpness = sharpness_of(left_out)
        if not sharpness:
            return known
        return learn_words([one for those in found for one in those], sharpness, known)

    def _fits(self, profile: Profile) -> Shift | None:
        """Give what a profile shifts; None where it was made for another network."""
        return profile.shift if is_made_for(profile.voice, self._model) else None

    def _left_out(self, good: Sequence[Tried], before: Shift | None) -> float:
        """Give the mean gain of calls that were left out of what was learned [nat]."""
        gains: list[float] = []
        for fold in range(FOLDS):
            rest = [each.lessons[0] for i, each in enumerate(good) if i % FOLDS != fold]
            out = [each for i, each in enumerate(good) if i % FOLDS == fold]
            found = learn(rest, before, TRIAL_STEPS)
            gains += self._gains(out, found, before)
        return float(np.mean(np.clip(gains, -MOST_GAIN_NATS, MOST_GAIN_NATS)))

    def _gains(self, calls: Sequence[Tried], shift: Shift, before: Shift | None) -> list[float]:
        """Give by how much each call is likelier with a shift than with another one [nat]."""
        lessons = [each.lessons[0] for each in calls]
        sums = Sums(lessons)
        inner = np.concatenate([each.inner for each in lessons])
        plain = np.concatenate([each.outputs for each in lessons])
        after, then = (
            sums.nats(plain if each is None else shifted(plain, each.logits(inner)))
            for each in (shift, before)
        )
        return [float(each) for each in after - then]

    def _hear(self, utterance: Utterance) -> ReadFrames:
        sound = surround(utterance.samples, utterance.lead)
        return self._model.hear(sound, for_voices=True)

    def _ways(self, texts: Sequence[str], outputs: npt.NDArray[np.float32]) -> tuple[Units, ...]:
        """List the ways to say any of some texts, likeliest first; those that do not fit left."""
        ways = [_units(way) for text in texts for way in self._said_so(text)]
        fitting = [way for way in dict.fromkeys(ways) if len(way) * 2 <= len(outputs)]
        if not fitting:
            return ()
        lessons = [Lesson(outputs, outputs[:, :0], (way,)) for way in fitting]
        nats = Sums(lessons).nats(np.concatenate([outputs] * len(lessons)))
        return tuple(fitting[place] for place in np.argsort(-nats, kind="stable")[:MOST_WAYS])

    def _said_so(self, text: str) -> Iterator[tuple[Units, ...]]:
        """Give the ways to say a text, each the units of its words."""
        return itertools.product(*(self._model.pronunciations[word] for word in text.split()))

    def _words(self, texts: Sequence[str], units: Units) -> tuple[tuple[str, Units], ...]:
        """Give the words that were said by some units, each with its own."""
        return next(
            tuple(zip(text.split(), way, strict=True))
            for text in texts
            for way in self._said_so(text)
            if _units(way) == units
        )


def _units(way: Sequence[Units]) -> Units:
    return tuple(itertools.chain.from_iterable(way))


def _refuse_other(name: str, before: Profile, traits: Sequence[npt.NDArray[np.float64]]) -> None:
    """Refuse to go on learning a voice from another person."""
    far = [each for trait in traits if (each := before.voiceprint.distance(trait)) is not None]
    if far and float(np.median(far)) > NEUTRAL:
        raise ConfigError(
            f"these calls do not sound like the voice of {name} that was learned before",
            where=name,
            next_step=f"give another name; or, if it was learned wrong, remove it first: calllog"
            f" voices {name!r} --remove",
        )


def _misheard(good: Sequence[Tried]) -> tuple[Misheard, ...]:
    """Count the words that were taken for others, where as many were heard as were said."""
    counts: Counter[tuple[str, str]] = Counter()
    for each in good:
        said, heard = each.text.split(), each.heard.split()
        if len(said) == len(heard):
            counts.update(
                (one, other) for one, other in zip(said, heard, strict=True) if one != other
            )
    return tuple(
        Misheard(said=said, heard=heard, times=times)
        for (said, heard), times in counts.most_common(MOST_MISHEARD)
    )


def _at_pace(utterance: Utterance, pace: float) -> Utterance:
    """Play an utterance slower or faster, pitch and all."""
    return replace(
        utterance, samples=played(utterance.samples, pace), lead=played(utterance.lead, pace)
    )


def _in_noise(utterance: Utterance, snr_db: float) -> Utterance:
    """Lay pink noise over an utterance: power falls 3 dB an octave; the same for the same sound."""
    lead = len(utterance.lead)
    sound = np.concatenate([utterance.lead, utterance.samples])
    rng = np.random.default_rng(len(sound))
    spectrum = np.fft.rfft(rng.standard_normal(len(sound)))
    hz = np.fft.rfftfreq(len(sound), 1.0 / RATE_HZ)
    spectrum /= np.sqrt(np.maximum(hz, 20.0))
    noise = np.fft.irfft(spectrum, len(sound))
    level = float(np.sqrt(np.mean(np.square(utterance.samples, dtype=np.float64))))
    noise *= level * 10.0 ** (-snr_db / 20.0) / max(float(np.sqrt(np.mean(noise**2))), 1e-12)
    mixed = np.asarray(sound + noise, np.float32)
    return replace(utterance, samples=mixed[lead:], lead=mixed[:lead])

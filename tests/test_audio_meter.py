"""Levels and warnings: right figures, one warning a trouble, none for what is well."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calllog.audio.detector import WINDOW, Detector
from calllog.audio.meter import Meter, Trouble, Warned
from tests.audio.clips import ALL, Sound, clip, hiss, laid_out, spoken

RATE_HZ = 16_000


def tone(seconds: float, level: float, offset: float = 0.0) -> Sound:
    """Make a tone of 440 Hz with a root mean square."""
    times = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    return (offset + level * math.sqrt(2) * np.sin(2 * np.pi * 440 * times)).astype(np.float32)


def metered(*parts: tuple[Sound, bool], meter: Meter | None = None) -> list[Warned]:
    """Feed one channel with sounds, each speech or not, and return the warnings."""
    meter = meter or Meter(1)
    return [
        warned
        for sound, is_speech in parts
        for begin in range(0, len(sound) - WINDOW + 1, WINDOW)
        for warned in meter.hear(sound[begin : begin + WINDOW, None], (is_speech,))
    ]


def detected(sound: Sound, meter: Meter, detector: Detector) -> list[Warned]:
    """Feed one channel with sound whose speech the detector finds."""
    warned: list[Warned] = []
    for begin in range(0, len(sound) - WINDOW + 1, WINDOW):
        window = sound[begin : begin + WINDOW]
        warned += meter.hear(window[:, None], (detector.hears_speech(window),))
    return warned


def troubles(warned: list[Warned]) -> list[Trouble]:
    """Return what was warned of."""
    return [one.trouble for one in warned]


def test_levels_are_right() -> None:
    """Speech at -26 dBFS over noise at -46 dBFS reads so, and 20 dB apart."""
    meter = Meter(1)
    assert meter.levels(0).speech_dbfs is None
    assert meter.levels(0).snr_db is None
    noise = np.random.default_rng(1).standard_normal(3 * RATE_HZ).astype(np.float32) * 0.005
    speech = tone(3.0, 0.05)
    assert metered((noise, False), (speech + noise, True), meter=meter) == []
    levels = meter.levels(0)
    assert levels.speech_dbfs == pytest.approx(-26.0, abs=0.2)
    assert levels.noise_dbfs == pytest.approx(-46.0, abs=0.5)
    assert levels.snr_db == pytest.approx(20.0, abs=0.5)
    assert levels.peak_dbfs == pytest.approx(-22.0, abs=1.5)


def test_channels_are_apart() -> None:
    """A trouble on one channel is told of that one only."""
    meter = Meter(2)
    both = np.stack((tone(1.0, 0.5), tone(1.0, 0.05)), axis=1)
    quiet = np.stack((hiss(1.0), hiss(1.0, 2)), axis=1)
    warned = [
        one
        for sound, is_speech in ((quiet, False), (both, True), (quiet, False))
        for begin in range(0, len(sound) - WINDOW + 1, WINDOW)
        for one in meter.hear(sound[begin : begin + WINDOW], (is_speech, is_speech))
    ]
    assert [(one.trouble, one.channel) for one in warned] == [(Trouble.LOUD, 0)]


@pytest.mark.parametrize(
    ("sound", "trouble"),
    [
        (np.clip(tone(1.0, 1.0), -1, 1) * np.float32(1.0), Trouble.CLIPPING),
        (tone(1.0, 0.4), Trouble.LOUD),
        (tone(1.0, 0.001), Trouble.FAINT),
    ],
)
def test_call_is_judged_when_it_ends(sound: Sound, trouble: Trouble) -> None:
    """A call too loud, clipped or too faint is warned of once it has ended, not before."""
    meter = Meter(1)
    quiet = hiss(1.0) * np.float32(0.1)
    assert metered((quiet, False), (sound, True), meter=meter) == []
    assert trouble in troubles(metered((quiet, False), meter=meter))


def test_warning_comes_once_and_again_after_it_went() -> None:
    """Three loud calls warn once; after calls that are well, a loud one warns again."""
    meter = Meter(1)
    loud = ((tone(1.0, 0.4), True), (hiss(1.0), False))
    well = ((tone(8.0, 0.05), True), (hiss(1.0), False))
    assert troubles(metered(*loud, *loud, *loud, meter=meter)) == [Trouble.LOUD]
    assert metered(*well, meter=meter) == []
    assert troubles(metered(*loud, *loud, *loud, meter=meter)) == [Trouble.LOUD]


def test_level_at_the_limit_does_not_flutter() -> None:
    """A voice that goes 1 dB above and below the limit is warned of once."""
    meter = Meter(1)
    calls = [(tone(4.0, 10 ** (level / 20)), True) for level in (-11.0, -13.0, -11.0, -13.0, -11.0)]
    warned = [metered(call, (hiss(1.0), False), meter=meter) for call in calls]
    assert sum(len(one) for one in warned) == 1


STILL = np.zeros(8 * RATE_HZ, np.float32)
"""Longer than a microphone may give no sound at all."""


def gated_call() -> tuple[tuple[Sound, bool], ...]:
    """Give a call as a receiver with a gate lets it through: open with the voice, then zeros."""
    return (tone(1.2, 0.05), True), (hiss(0.4), False), (STILL, False)


def test_gate_of_a_receiver_is_no_lost_microphone() -> None:
    """Zeros between calls, again and again, are a receiver's gate: not warned of once known."""
    meter = Meter(1)
    calls = [each for _ in range(5) for each in gated_call()]
    assert metered(*calls, meter=meter) == []
    assert meter.holding(0) == frozenset()


def test_receiver_that_begins_with_its_gate_shut_is_told_once() -> None:
    """Before the first word nothing tells it from a dead one; after it, it is known."""
    meter = Meter(1)
    assert troubles(metered((STILL, False), meter=meter)) == [Trouble.SILENT]
    assert metered(*gated_call(), *gated_call(), meter=meter) == []
    assert meter.holding(0) == frozenset()


def test_receiver_that_died_is_told_in_the_end() -> None:
    """A gate that does not open for five minutes is told, so that a dead device is not missed."""
    meter = Meter(1)
    metered(*gated_call(), meter=meter)
    shut = np.zeros(WINDOW, np.float32)[:, None]
    windows = int(301 * RATE_HZ / WINDOW)
    warned = [each for _ in range(windows) for each in meter.hear(shut, (False,))]
    assert troubles(warned) == [Trouble.SILENT]


def test_open_microphone_that_goes_still_is_told_at_once() -> None:
    """One that hisses between the calls has no gate: muted right after a call, it is told too."""
    meter = Meter(1)
    heard = metered((hiss(12.0), False), (tone(1.2, 0.05), True), (hiss(4.0), False), meter=meter)
    assert heard == []
    assert troubles(metered((STILL, False), meter=meter)) == [Trouble.SILENT]
    again = metered(*gated_call(), (hiss(12.0), False), (STILL, False), meter=meter)
    assert troubles(again) == [Trouble.SILENT]


def test_click_is_no_clipping() -> None:
    """A plumb bob that hits the microphone once is not an overdriven voice."""
    call = tone(1.0, 0.05)
    call[5000:5004] = 1.0
    assert metered((hiss(1.0), False), (call, True), (hiss(1.0), False)) == []


@pytest.mark.parametrize(("snr_db", "expected"), [(20.0, []), (8.0, [Trouble.NOISY])])
def test_noise(snr_db: float, expected: list[Trouble]) -> None:
    """Noise 8 dB below the voice is warned of, 20 dB below not."""
    noise = np.random.default_rng(3).standard_normal(3 * RATE_HZ) * 0.05 * 10 ** (-snr_db / 20)
    rain = noise.astype(np.float32)
    warned = metered((rain, False), (tone(3.0, 0.05) + rain, True), (rain, False))
    assert troubles(warned) == expected


@pytest.mark.parametrize("value", [0.0, 0.01])
def test_muted_microphone(value: float) -> None:
    """Five seconds of one and the same value are no open microphone; four pass."""
    still = np.full(4 * RATE_HZ, value, np.float32)
    meter = Meter(1)
    assert metered((still, False), meter=meter) == []
    assert troubles(metered((still, False), (still, False), meter=meter)) == [Trouble.SILENT]
    assert metered((hiss(1.0), False), meter=meter) == []
    warned = metered((still, False), (still, False), meter=meter)
    assert troubles(warned) == [Trouble.SILENT]
    assert warned[0].measured == pytest.approx(5.0, abs=0.05)


def test_offset() -> None:
    """A constant offset is warned of, and does not count as level."""
    meter = Meter(1)
    offset = np.float32(0.1)
    warned = metered((hiss(2.0) + offset, False), meter=meter)
    assert troubles(warned) == [Trouble.OFFSET]
    noise_dbfs = meter.levels(0).noise_dbfs
    assert noise_dbfs is not None
    assert noise_dbfs < -65


def test_committed_voices_are_well() -> None:
    """The clips, heard as the detector hears them, give no warning and a level of -34 dBFS."""
    meter, detector = Meter(1), Detector()
    warned, levels = [], []
    for path in ALL:
        sound = clip(path.parent.name, path.stem)
        sound = sound + hiss(len(sound) / RATE_HZ + 1)[: len(sound)]
        warned += detected(sound, meter, detector)
        levels.append(meter.levels(0).speech_dbfs)
    assert warned == []
    known = [level for level in levels if level is not None]
    assert np.mean(known) == pytest.approx(-34.0, abs=3.0)


@pytest.mark.parametrize(
    ("gain_db", "expected"), [(-30.0, Trouble.FAINT), (34.0, Trouble.CLIPPING)]
)
def test_committed_voice_too_faint_or_overdriven(gain_db: float, expected: Trouble) -> None:
    """A voice far away or into the microphone is warned of, once over several calls."""
    calls = laid_out(
        9.0,
        *((1.0 + 2.5 * n, spoken("flite-rms", "fifteen_forty_two")) for n in range(3)),
    )
    sound = np.clip(calls * np.float32(10 ** (gain_db / 20)), -1, 1)
    warned = detected(sound, Meter(1), Detector())
    assert troubles(warned).count(expected) == 1


def test_gusts_warn_once_in_five_minutes() -> None:
    """Noise that comes and goes with the wind is warned of now and then, not at each gust."""
    meter = Meter(1)
    gust = ((hiss(4.0) * 60.0, False), (tone(2.0, 0.03), True), (hiss(1.0) * 60.0, False))
    lull = ((hiss(9.0), False), (tone(4.0, 0.03), True), (hiss(4.0), False))
    at = [turn for turn in range(30) if metered(*gust, *lull, meter=meter)]
    assert at == [0, 13, 26]  # turns of 24 s: 312 s lie between two warnings


def test_rumble_is_no_noise() -> None:
    """Wind below 100 Hz, which the recogniser does not hear, is not warned of."""
    seconds = np.arange(4 * RATE_HZ) / RATE_HZ
    rumble = (0.05 * np.sin(2 * np.pi * 30.0 * seconds)).astype(np.float32)
    assert metered((tone(2.0, 0.03), True), (rumble, False)) == []


def test_what_holds_is_known_until_it_has_gone() -> None:
    """The screen shows a warning as long as its cause is there."""
    meter = Meter(1)
    quiet = (hiss(1.0), False)
    metered(quiet, (tone(2.0, 0.5), True), quiet, meter=meter)
    assert meter.holding(0) == {Trouble.LOUD}
    for _ in range(3):
        metered((tone(4.0, 0.03), True), quiet, meter=meter)
    assert meter.holding(0) == frozenset()


def test_wind_on_the_microphone_is_no_offset() -> None:
    """Gusts that push the microphone to full scale come and go; an offset that begins is told."""
    meter = Meter(1)
    gust = np.repeat(np.array([1.0, -1.0, 1.0, 1.0], np.float32), 4_000)
    for blow in np.split(gust, 4) * 3:
        assert metered((hiss(2.0), False), (blow, False), meter=meter) == []
    warned = metered((hiss(12.0) + np.float32(0.05), False), meter=meter)
    assert troubles(warned) == [Trouble.OFFSET]


def test_coughs_are_no_noise() -> None:
    """A cough as loud as a call, twice in a few seconds: the noise stays as it is in quiet."""
    meter = Meter(1)
    quiet, call = hiss(4.0), (tone(1.0, 0.05), True)
    cough = (np.random.default_rng(5).standard_normal(RATE_HZ // 2) * 0.05).astype(np.float32)
    for _ in range(3):
        heard = ((quiet, False), (cough, False), (hiss(0.5), False), (cough, False), call)
        assert metered(*heard, (hiss(0.6), False), meter=meter) == []
        assert meter.levels(0).noise_dbfs == pytest.approx(-70.5, abs=1.0)


def test_noise_is_not_learned_while_the_program_is_out() -> None:
    """What arrives of a question of 8 s is no noise; rain that begins under it is, after it."""
    meter = Meter(1)
    words = (np.random.default_rng(6).standard_normal(8 * RATE_HZ) * 0.05).astype(np.float32)
    metered((hiss(2.0), False), (tone(1.0, 0.05), True), meter=meter)
    for begin in range(0, len(words), WINDOW):
        assert not meter.hear(words[begin : begin + WINDOW, None], (False,), is_out=True)
    assert metered((hiss(0.6), False), meter=meter) == []
    assert meter.levels(0).noise_dbfs == pytest.approx(-70.5, abs=1.0)
    told = metered(
        (words[: 3 * RATE_HZ], False), (tone(1.0, 0.05), True), (hiss(0.6), False), meter=meter
    )
    assert troubles(told) == [Trouble.NOISY]

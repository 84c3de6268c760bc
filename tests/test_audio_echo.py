"""The program's own sound is taken out of what the microphones hear, and the crew's is left."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from calllog.audio.echo import Canceller, LeftBlock, Sender

RATE_HZ = 16_000
BLOCK = 480
Sound = npt.NDArray[np.float64]


def voice(seed: int, seconds: float) -> Sound:
    """Make sound that comes and goes as syllables do, RMS 0.1."""
    n = round(seconds * RATE_HZ)
    sound = np.random.default_rng(seed).standard_normal(n)
    sound *= np.clip(np.sin(np.arange(n) * 2.0 * np.pi * 3.0 / RATE_HZ + seed), 0.0, 1.0)
    return np.asarray(0.1 * sound / np.sqrt(np.mean(np.square(sound))))


def db(power: float) -> float:
    """Give a power in decibels."""
    return float(10.0 * np.log10(power + 1e-15))


def arrived(sent: Sound, echo_db: float, late_s: float) -> Sound:
    """Let sound arrive later and weaker, by two ways."""
    path = np.zeros(200)
    path[[0, 40, 170]] = 1.0, -0.4, 0.2
    late = np.zeros(round(late_s * RATE_HZ))
    sound = np.concatenate((late, np.convolve(sent, path)))[: sent.size]
    return np.asarray(sound * 10.0 ** (echo_db / 20.0))


def cleaned(
    canceller: Canceller, sent: Sound, heard: Sound, *, stated_s: float = 0.03, at_s: float = 100.0
) -> Sound:
    """Let a canceller hear block by block what stands beside what left."""
    out = []
    for at in range(0, heard.shape[0] // BLOCK * BLOCK, BLOCK):
        begin_s = at_s + at / RATE_HZ
        canceller.sends(sent[at : at + BLOCK].astype(np.float32), begin_s + stated_s)
        out.append(canceller.cleans(heard[at : at + BLOCK].astype(np.float32), begin_s))
    return np.concatenate(out).astype(np.float64)


def test_words_are_taken_out_and_a_voice_over_them_stays() -> None:
    """They arrive 20 dB weaker, 0.1 s after they left; then the wearer speaks over them."""
    sent = voice(1, 8.0)
    hiss = 5e-4 * np.random.default_rng(2).standard_normal((sent.size, 2))
    echo = np.repeat(arrived(sent, -20.0, 0.1)[:, np.newaxis], 2, axis=1)
    talk = np.zeros_like(echo)
    talk[5 * RATE_HZ :, 0] = 0.5 * voice(3, 3.0)
    canceller = Canceller(2)
    out = cleaned(canceller, sent, echo + hiss + talk)
    assert canceller.place is not None
    rest = out - (talk + hiss)[: len(out)]
    for begin_s, end_s in ((4.0, 5.0), (5.5, 7.9)):
        part = slice(round(begin_s * RATE_HZ), round(end_s * RATE_HZ))
        for channel in (0, 1):
            before = db(float(np.mean(np.square(echo[part, channel]))))
            assert before - db(float(np.mean(np.square(rest[part, channel])))) > 20.0


def test_what_does_not_arrive_changes_nothing() -> None:
    """An earphone: what is heard comes out as it is, whatever was found in it."""
    sent = voice(1, 3.0)
    heard = 0.05 * voice(3, 3.0)[:, np.newaxis]
    canceller = Canceller(1)
    out = cleaned(canceller, sent, heard)
    np.testing.assert_array_equal(out, heard[: len(out)].astype(np.float32))


@pytest.mark.parametrize("seconds", [4.0, 8.0])
def test_in_noise_it_is_known_how_loud_words_arrive(seconds: float) -> None:
    """10 dB over them: what is taken away, and how much more it may be, come to what arrives."""
    sent = voice(1, seconds)
    echo = arrived(sent, -20.0, 0.1)[:, np.newaxis]
    noise = np.random.default_rng(2).standard_normal(echo.shape)
    noise *= np.sqrt(10.0 * np.mean(np.square(echo)) / np.mean(np.square(noise)))
    canceller = Canceller(1)
    heard = echo + noise
    taken = heard[: len(heard) // BLOCK * BLOCK] - cleaned(canceller, sent, heard)
    last = slice(-RATE_HZ, None)
    arrives = db(float(np.mean(np.square(echo[last]))))
    foretold = db(canceller.louder[0] * float(np.mean(np.square(taken[last]))))
    assert canceller.place is not None
    assert -3.0 < foretold - arrives < 4.0


def test_after_missing_sound_it_is_found_anew() -> None:
    """Until then nothing is taken away, for it would be another's."""
    sent = voice(1, 8.0)
    heard = arrived(sent, -15.0, 0.05)[:, np.newaxis]
    canceller = Canceller(1)
    half = 4 * RATE_HZ
    cleaned(canceller, sent[:half], heard[:half])
    assert canceller.place is not None
    canceller.breaks()
    assert canceller.place is None
    out = cleaned(canceller, sent[half:], heard[half:], at_s=100.0 + half / RATE_HZ)
    last = slice(len(out) - RATE_HZ, len(out))
    kept = float(np.mean(np.square(out[last, 0])))
    assert canceller.place is not None
    assert db(float(np.mean(np.square(heard[half:][last, 0])))) - db(kept) > 15.0


class Kept(Canceller):
    """Keeps what it is told of what leaves the loudspeaker."""

    breaks_heard = 0
    over_s = 0.0
    """When what left last is over [s]."""

    def sends(self, sound: npt.NDArray[np.float32], at_s: float) -> None:
        """Keep when it ends."""
        self.over_s = at_s + len(sound) / RATE_HZ
        super().sends(sound, at_s)

    def breaks(self) -> None:
        """Count that all begins anew."""
        self.breaks_heard += 1
        super().breaks()


@pytest.mark.parametrize("rate_hz", [16_000, 48_000])
def test_sound_of_any_output_is_given_at_16_khz(rate_hz: int) -> None:
    """As many samples come out as there is time; where a block is missing, all begins anew."""
    kept = Kept(1)
    sender = Sender(kept)
    frames = rate_hz // 100
    block = np.full(frames, 0.5, np.float32)
    for number in range(100):
        sender.send(LeftBlock(block, rate_hz, number * frames, 50.0 + number / 100))
    assert kept.over_s == pytest.approx(51.0, abs=0.02)
    assert kept.breaks_heard == 1
    sender.send(LeftBlock(block, rate_hz, 200 * frames, 52.0))
    assert kept.breaks_heard == 2

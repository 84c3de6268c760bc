"""Makes clean speech sound like the field, a batch at a time; torch, on whatever device.

Speed and pitch, rooms, microphones, clipping, gain, and noise: of any slope from white to brown,
gusty wind, engines, traffic, impacts, and other people talking.
"""

from __future__ import annotations

import math

import torch

RATE_HZ = 16_000
SLOWEST, FASTEST = 0.8, 1.25
CLEAN_SHARE = 0.2

Batch = torch.Tensor


class Field:
    """Draws and applies what the field does to speech.

    Args:
        generator: all chance comes from it; its device is where the work is done.
    """

    def __init__(self, generator: torch.Generator) -> None:
        self._chance = generator
        self._device = generator.device
        self.ease = 0.0
        """From 1, no noise to speak of, to 0: for the first steps of a training."""

    def __call__(self, speech: Batch) -> Batch:
        """Disturb a batch; shape (batch, n) to (batch, n), full scale 1."""
        sound = self._room(self._microphone(self._voice(speech)))
        level = active_rms(sound)
        batch = len(sound)
        snr_db = self._uniform(-3.0, 26.0, batch) + 20.0 * self.ease
        is_clean = self._draw(batch) < CLEAN_SHARE
        snr_db = torch.where(is_clean, self._uniform(30.0, 55.0, batch), snr_db)
        noise = self._noise(sound)
        sound = sound + noise * (level * 10.0 ** (-snr_db / 20.0))[:, None]
        is_late = self._draw(batch) < 0.3
        sound = torch.where(is_late[:, None], self._microphone(sound), sound)
        peak = sound.abs().amax(1)
        drive = torch.where(
            self._draw(batch) < 0.08, self._uniform(1.5, 5.0, batch), torch.ones_like(peak)
        )
        sound = torch.clamp(sound * (drive / peak)[:, None], -1.0, 1.0)
        gain = 10.0 ** (-self._uniform(0.0, 36.0, batch) / 20.0)
        dither = self._normal(sound.shape) * 3e-5
        return sound * gain[:, None] + dither

    def respeed(self, speech: Batch, *, is_twice: bool = False) -> tuple[Batch, Batch]:
        """Play each row faster or slower, pitch and all; give how much faster, shape (batch,), too.

        The length stays, the rest is silent. Where the second half of the rows is the first once
        more, each is played as fast both times.
        """
        batch, n = speech.shape
        speed = self._uniform(SLOWEST, FASTEST, batch // 2 if is_twice else batch)
        speed = torch.cat([speed, speed]) if is_twice else speed
        at = torch.arange(n, device=self._device)[None] * speed[:, None]
        left = at.long()
        inside = left < n - 1
        left = left.clamp(max=n - 2)
        part = at - left
        here, after = speech.gather(1, left), speech.gather(1, left + 1)
        return torch.where(inside, here + (after - here) * part, torch.zeros_like(here)), speed

    def _voice(self, speech: Batch) -> Batch:
        """Shout or mutter: tilt the spectrum about 800 Hz."""
        tilt_db = self._uniform(-2.5, 4.5, len(speech))
        hz = self._hz(speech)
        octaves = torch.log2(hz.clamp(min=60.0) / 800.0).clamp(-3.0, 2.5)
        return self._filtered(speech, 10.0 ** (tilt_db[:, None] * octaves[None] / 20.0))

    def _microphone(self, speech: Batch) -> Batch:
        """Colour by a random curve, and cut the band."""
        batch, hz = len(speech), self._hz(speech)
        knots = torch.tensor(
            [0.0, 100, 250, 500, 1000, 2000, 3500, 5500, 8000], device=self._device
        )
        gains = self._normal((batch, len(knots))) * 3.0
        gains[:, 0] -= 6.0 * self._draw(batch)
        place = torch.bucketize(hz, knots[1:-1])
        part = (hz - knots[place]) / (knots[place + 1] - knots[place])
        curve = gains[:, place] * (1 - part) + gains[:, place + 1] * part
        gain = 10.0 ** (curve / 20.0)
        high = torch.where(
            self._draw(batch) < 0.35,
            self._uniform(2800.0, 7500.0, batch),
            torch.full((batch,), 1e9, device=self._device),
        )
        low = torch.where(
            self._draw(batch) < 0.4,
            self._uniform(60.0, 380.0, batch),
            torch.full((batch,), 1e-3, device=self._device),
        )
        gain = gain / (1 + (hz[None] / high[:, None]) ** 10)
        gain = gain * (1 - 1 / (1 + (hz[None] / low[:, None]) ** 6))
        return self._filtered(speech, gain)

    def _room(self, speech: Batch) -> Batch:
        """Add a decaying echo to some: a room, a wall, a hood."""
        batch, n = speech.shape
        length = min(n, RATE_HZ // 2)
        t60 = self._uniform(0.06, 0.5, batch)
        time = torch.arange(length, device=self._device) / RATE_HZ
        tail = self._normal((batch, length)) * torch.exp(-6.9 * time[None] / t60[:, None])
        tail = tail / tail.square().sum(1, keepdim=True).sqrt()
        ratio_db = self._uniform(-6.0, 14.0, batch)
        wet = (self._draw(batch) < 0.4).float() * 10.0 ** (-ratio_db / 20.0)
        impulse = tail * wet[:, None]
        impulse[:, 0] += 1.0
        size = n + length
        spectrum = torch.fft.rfft(speech, size) * torch.fft.rfft(impulse, size)
        return torch.fft.irfft(spectrum, size)[:, :n]

    def _noise(self, speech: Batch) -> Batch:
        """Draw noise of RMS 1 for each row: one kind, or two on top of each other."""
        kinds = (self._sloped, self._wind, self._engine, self._babble)
        shares = torch.tensor([0.34, 0.28, 0.16, 0.22], device=self._device)
        batch = len(speech)
        first = torch.multinomial(shares, batch, replacement=True, generator=self._chance)
        second = torch.multinomial(shares, batch, replacement=True, generator=self._chance)
        weight = torch.where(
            self._draw(batch) < 0.35,
            self._uniform(0.2, 1.0, batch),
            torch.zeros(batch, device=self._device),
        )
        noise = torch.zeros_like(speech)
        for drawn, loud in ((first, torch.ones_like(weight)), (second, weight)):
            for place, kind in enumerate(kinds):
                rows = torch.nonzero((drawn == place) & (loud > 0.0))[:, 0]
                if len(rows):
                    is_of_others = kind == self._babble
                    made = kind(speech)[rows] if is_of_others else kind(speech[rows])
                    noise[rows] += loud[rows, None] * made
        return _unit(noise + self._impacts(noise))

    def _sloped(self, like: Batch) -> Batch:
        """Noise whose power falls with frequency to a random power from 0 to 2.2."""
        slope = self._uniform(0.0, 2.2, len(like))
        return self.coloured(like, slope)

    def coloured(self, like: Batch, slope: Batch) -> Batch:
        """Noise of RMS 1 whose power falls with frequency to the given power, above 20 Hz."""
        white = torch.fft.rfft(self._normal(like.shape))
        hz = self._hz(like).clamp(min=20.0)
        return _unit(torch.fft.irfft(white * hz[None] ** (-slope[:, None] / 2), like.shape[1]))

    def _wind(self, like: Batch) -> Batch:
        """Low rumble under gusts of some tenths of a second to some seconds."""
        return self.gusts(
            like, self._uniform(1.2, 2.8, len(like)), self._uniform(2.0, 9.0, len(like))
        )

    def gusts(self, like: Batch, slope: Batch, depth_db: Batch) -> Batch:
        """Noise of a slope under a slowly changing level (standard deviation `depth_db`)."""
        batch, n = like.shape
        count = n * 3 // RATE_HZ + 6
        level = self._normal((batch, 1, count))
        level = torch.nn.functional.interpolate(level, size=n, mode="linear", align_corners=True)
        gain = 10.0 ** (depth_db[:, None] * level[:, 0].clamp(-2.5, 2.5) / 20.0)
        return _unit(self.coloured(like, slope) * gain)

    def _engine(self, like: Batch) -> Batch:
        """A hum with harmonics that wavers, or passing traffic: a band that swells and fades."""
        batch, n = like.shape
        time = torch.arange(n, device=self._device) / RATE_HZ
        pitch = self._uniform(35.0, 190.0, batch)
        waver = 1 + self._uniform(0.0, 0.03, batch)[:, None] * torch.sin(
            2 * math.pi * self._uniform(0.1, 3.0, batch)[:, None] * time[None]
        )
        phase = torch.cumsum(2 * math.pi * pitch[:, None] * waver / RATE_HZ, 1)
        fall = self._uniform(0.4, 1.4, batch)
        hum = torch.zeros_like(like)
        for harmonic in range(1, 13):
            offset = 2 * math.pi * self._draw(batch)[:, None]
            hum += torch.sin(harmonic * phase + offset) / harmonic ** fall[:, None]
        road = self.gusts(like, self._uniform(0.6, 1.6, batch), self._uniform(2.0, 7.0, batch))
        share = self._draw(batch)[:, None]
        return _unit(_unit(hum) * share + road * (1.1 - share))

    def _babble(self, speech: Batch) -> Batch:
        """Two to seven other rows of the batch at once."""
        total = torch.zeros_like(speech)
        count = 2 + int(self._draw(1).item() * 6)
        for _ in range(count):
            shift = 1 + int(self._draw(1).item() * max(1, len(speech) - 1))
            turned = torch.roll(speech, int(self._draw(1).item() * speech.shape[1]), 1)
            total = total + _unit(torch.roll(turned, shift, 0)) * (0.4 + self._draw(1))
        return _unit(total)

    def _impacts(self, like: Batch) -> Batch:
        """Knocks and clicks on a fifth of the rows."""
        batch, n = like.shape
        time = torch.arange(n, device=self._device)
        total = torch.zeros_like(like)
        for _ in range(3):
            start = (self._draw(batch) * n)[:, None]
            length = self._uniform(60.0, 1500.0, batch)[:, None]
            after = time[None] - start
            shape = torch.where(after >= 0, torch.exp(-5 * after.clamp(min=0) / length), after * 0)
            total += shape * self._uniform(1.0, 6.0, batch)[:, None]
        on = (self._draw(batch) < 0.2).float()
        return total * self._normal(like.shape) * on[:, None]

    def _filtered(self, sound: Batch, gain: Batch) -> Batch:
        return torch.fft.irfft(torch.fft.rfft(sound) * gain, sound.shape[1])

    def _hz(self, like: Batch) -> Batch:
        n = like.shape[1]
        return torch.fft.rfftfreq(n, 1 / RATE_HZ, device=self._device)

    def _draw(self, count: int) -> Batch:
        return torch.rand(count, generator=self._chance, device=self._device)

    def _uniform(self, low: float, high: float, count: int) -> Batch:
        return low + (high - low) * self._draw(count)

    def _normal(self, shape: torch.Size | tuple[int, ...]) -> Batch:
        return torch.randn(shape, generator=self._chance, device=self._device)


def active_rms(sound: Batch) -> Batch:
    """Give the RMS of each row over its 20 ms frames less than 30 dB below the loudest."""
    frames = sound[:, : sound.shape[1] // 320 * 320].reshape(len(sound), -1, 320)
    power = frames.square().mean(2)
    is_active = power > power.amax(1, keepdim=True) * 1e-3
    return ((power * is_active).sum(1) / is_active.sum(1).clamp(min=1)).sqrt().clamp(min=1e-5)


def _unit(noise: Batch) -> Batch:
    return noise / noise.square().mean(1, keepdim=True).sqrt().clamp(min=1e-9)

"""Kaldi's high-resolution MFCC on whole batches; torch."""

from __future__ import annotations

import math

import torch

FRAME, SHIFT, FFT, MELS = 400, 160, 512, 40
LOWEST_HZ, HIGHEST_HZ, RATE_HZ = 20.0, 7600.0, 16_000
LIFTER = 22.0


class Mfcc(torch.nn.Module):
    """Samples (batch, n), full scale 1, to cepstra (batch, frames, 40), one frame each 10 ms."""

    def __init__(self) -> None:
        super().__init__()
        place = torch.arange(FRAME, dtype=torch.float64)
        povey = (0.5 - 0.5 * torch.cos(2 * math.pi * place / (FRAME - 1))) ** 0.85

        def mel(hz: torch.Tensor) -> torch.Tensor:
            return 1127.0 * torch.log1p(hz / 700.0)

        edges = torch.linspace(
            float(mel(torch.tensor(LOWEST_HZ, dtype=torch.float64))),
            float(mel(torch.tensor(HIGHEST_HZ, dtype=torch.float64))),
            MELS + 2,
            dtype=torch.float64,
        )
        bins = mel(torch.arange(FFT // 2 + 1, dtype=torch.float64) * RATE_HZ / FFT)
        left, centre, right = edges[:-2, None], edges[1:-1, None], edges[2:, None]
        up, down = (bins - left) / (centre - left), (right - bins) / (right - centre)
        filters = torch.clamp(torch.minimum(up, down), min=0.0)
        filters[:, -1] = 0.0
        k = torch.arange(MELS, dtype=torch.float64)
        dct = torch.cos(math.pi * k[:, None] * (k[None] + 0.5) / MELS) * math.sqrt(2.0 / MELS)
        dct[0] /= math.sqrt(2.0)
        lift = 1.0 + LIFTER / 2 * torch.sin(math.pi * k / LIFTER)
        self.register_buffer("window", povey.float())
        self.register_buffer("filters", filters.T.float())
        self.register_buffer("transform", (dct * lift[:, None]).T.float())

    def log_mel(self, samples: torch.Tensor) -> torch.Tensor:
        """Give the logarithms of mel energies, shape (batch, frames, 40)."""
        frames = (samples * 32768.0).unfold(1, FRAME, SHIFT)
        frames = frames - frames.mean(2, keepdim=True)
        before = torch.cat([frames[..., :1], frames[..., :-1]], 2)
        frames = (frames - 0.97 * before) * self.window
        power = torch.fft.rfft(frames, FFT).abs().square()
        return torch.log(torch.clamp(power @ self.filters, min=1.1920929e-07))

    def forward(self, samples: torch.Tensor) -> torch.Tensor:
        """Give the cepstra."""
        return self.log_mel(samples) @ self.transform

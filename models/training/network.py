"""The acoustic network: a factorised TDNN (TDNN-F) with a CTC head; torch.

The layers are those of Kaldi's chain recipes (Povey et al., "Semi-orthogonal low-rank matrix
factorization for deep neural networks", Interspeech 2018), so that they can start from a Kaldi
model's and be written back as one.
"""

from __future__ import annotations

from collections.abc import Mapping

import torch
from torch import nn

from models.training.layout import BYPASS, CONTEXT, EPSILON, LAYERS, STEP, SUBSAMPLED_AT


class BatchNorm(nn.Module):
    """Kaldi's batch normalisation: no learnt scale; running statistics at test time."""

    def __init__(self, size: int) -> None:
        super().__init__()
        self.register_buffer("mean", torch.zeros(size))
        self.register_buffer("var", torch.ones(size))
        self.momentum = 0.02
        self.is_frozen = False

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Normalise over batch and time; x of shape (batch, time, size)."""
        if self.training and not self.is_frozen:
            flat = x.float().reshape(-1, x.shape[-1])
            var, mean = torch.var_mean(flat, 0, unbiased=False)
            with torch.no_grad():
                self.mean.lerp_(mean, self.momentum)
                self.var.lerp_(var, self.momentum)
        else:
            mean, var = self.mean, self.var
        return (x - mean) * torch.rsqrt(var + EPSILON)


class Layer(nn.Module):
    """One factorised layer with bypass."""

    def __init__(self, size: int, bottleneck: int, *, has_context: bool) -> None:
        super().__init__()
        self.has_context = has_context
        spliced = 2 if has_context else 1
        self.linear = nn.Linear(size * spliced, bottleneck, bias=False)
        self.affine = nn.Linear(bottleneck * spliced, size)
        self.norm = BatchNorm(size)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Map (batch, time, size) to the same, two frames fewer with context."""
        if self.has_context:
            h = self.linear(torch.cat([x[:, :-1], x[:, 1:]], 2))
            h = self.affine(torch.cat([h[:, :-1], h[:, 1:]], 2))
            kept = x[:, 1:-1]
        else:
            h, kept = self.affine(self.linear(x)), x
        return self.norm(torch.relu(h)) + BYPASS * kept


class Network(nn.Module):
    """Cepstra to logits of the units."""

    def __init__(self, units: int, size: int = 768, bottleneck: int = 64) -> None:
        super().__init__()
        self.lda = nn.Linear(120, 220)
        self.first = nn.Linear(220, size)
        self.norm = BatchNorm(size)
        self.layers = nn.ModuleList(
            Layer(size, bottleneck, has_context=number != SUBSAMPLED_AT)
            for number in range(2, LAYERS + 1)
        )
        self.output = nn.Linear(size, units)
        self.drop = 0.0

    def forward(self, cepstra: torch.Tensor) -> torch.Tensor:
        """Map (batch, frames, 40) to (batch, ceil(frames / 3), units); edges are repeated."""
        frames = cepstra.shape[1]
        x = torch.cat(
            [
                cepstra[:, :1].expand(-1, CONTEXT, -1),
                cepstra,
                cepstra[:, -1:].expand(-1, CONTEXT, -1),
            ],
            1,
        )
        with torch.autocast(x.device.type, enabled=False):
            h = self.lda(torch.cat([x[:, :-2], x[:, 1:-1], x[:, 2:]], 2).float())
            h = self.norm(torch.relu(self.first(h)))
        for number, layer in enumerate(self.layers, start=2):
            if number == SUBSAMPLED_AT:
                h = h[:, ::STEP]
            h = layer(h)
            if self.training and self.drop:
                shape = (h.shape[0], 1, h.shape[2])
                h = h * (1 + self.drop * (4 * torch.rand(shape, device=h.device) - 2))
        return self.output(h)[:, : -(-frames // STEP)]

    def freeze_norms(self) -> None:
        """Keep the statistics that the layers were trained with."""
        for module in self.modules():
            if isinstance(module, BatchNorm):
                module.is_frozen = True

    def start_from(self, kaldi: Mapping[str, torch.Tensor]) -> None:
        """Take all layers but the last from a Kaldi model: names to tensors."""
        with torch.no_grad():
            self.lda.weight.copy_(kaldi["lda.W"][:, :120])
            self.lda.bias.copy_(kaldi["lda.b"])
            self.first.weight.copy_(kaldi["tdnn1.affine.W"])
            self.first.bias.copy_(kaldi["tdnn1.affine.b"])
            _take(self.norm, kaldi, "tdnn1")
            for number, layer in enumerate(self.layers, start=2):
                layer.linear.weight.copy_(kaldi[f"tdnnf{number}.linear.W"])
                layer.affine.weight.copy_(kaldi[f"tdnnf{number}.affine.W"])
                layer.affine.bias.copy_(kaldi[f"tdnnf{number}.affine.b"])
                _take(layer.norm, kaldi, f"tdnnf{number}")
            self.output.weight.mul_(0.3)


def _take(norm: BatchNorm, kaldi: Mapping[str, torch.Tensor], name: str) -> None:
    norm.mean.copy_(kaldi[f"{name}.batchnorm.mean"])
    norm.var.copy_(kaldi[f"{name}.batchnorm.var"])

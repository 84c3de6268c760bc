"""The speech encoder in torch: weights of its file in, what is learned beside them out.

As Moonshine's "tiny" is built (Jeffries et al. 2024, arXiv:2410.15608): three convolutions, six
layers of attention with rotary positions over 32 of 36 values of a head, and a last normalisation.
The weights of the file stay; each matrix gets the product of a tall and a wide one beside it (Hu et
al. 2021, arXiv:2106.09685), biases and gains learn themselves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
import numpy.typing as npt
import torch
from torch import nn
from torch.nn import functional

from calllog.recognise.ort_weights import ADDED, MOVES, READS, SCALE, WHOLE, ZERO, weights_of

HEADS, WIDTH, TURNED = 8, 288, 32
LAYERS = 6
BASE = 10_000.0
VARIANCE_FLOOR = 1e-5
KERNELS = ((127, 64), (7, 3), (3, 2))
"""Samples, or frames, that a convolution reads, and its step."""
QUIETEST, LOUDNESS = 1e-5, 0.05
MATRICES = (
    (2093, 2096, 2103, 2167, 2168, 2169),
    (2170, 2173, 2180, 2236, 2237, 2238),
    (2239, 2242, 2249, 2305, 2306, 2307),
    (2308, 2311, 2318, 2374, 2375, 2376),
    (2377, 2380, 2387, 2443, 2444, 2445),
    (2446, 2449, 2456, 2512, 2513, 2514),
)
"""Numbers of the file's matrices ``onnx::MatMul_N``, for each layer queries, keys, values, what
comes out, and the two of the perceptron."""

Weights = Mapping[str, torch.Tensor]
Arrays = dict[str, npt.NDArray[np.generic]]


def read_weights(network: bytes) -> dict[str, torch.Tensor]:
    """Read the weights of the encoder's file by their names there, matrices without 8 bits."""
    found = weights_of(network)
    whole = {name: each.of(network) for name, each in found.items()}
    for name in [each for each in whole if each.endswith(WHOLE)]:
        base = name.removesuffix(WHOLE)
        whole[base] = (whole[name] - whole[base + ZERO]) * whole[base + SCALE]
    return {name: torch.from_numpy(np.asarray(each, np.float32)) for name, each in whole.items()}


class Learned(nn.Module):
    """A weight of the file, and what is learned beside it.

    Args:
        name: of the weight in the file.
        weight: shape (inputs, outputs), or (outputs, inputs, kernel) of a convolution.
        rank: of what is learned.
    """

    def __init__(self, name: str, weight: torch.Tensor, rank: int) -> None:
        super().__init__()
        self.name = name
        self.register_buffer("weight", weight)
        self.weight: torch.Tensor
        self._is_convolution = weight.ndim > 2
        outputs = weight.shape[0] if self._is_convolution else weight.shape[1]
        inputs = weight.numel() // outputs
        self.reads = nn.Parameter(torch.randn(inputs, rank) / math.sqrt(inputs))
        self.moves = nn.Parameter(torch.zeros(rank, outputs))

    def added(self) -> torch.Tensor:
        """Give what is added to the weight."""
        product = self.reads @ self.moves
        return product.T.reshape(self.weight.shape) if self._is_convolution else product

    def forward(self) -> torch.Tensor:
        """Give the weight, a matrix as 8 bits would hold it; the slope passes the rounding by."""
        weight = self.weight + self.added()
        if self._is_convolution or not self.training:
            return weight
        with torch.no_grad():
            low, high = weight.min().clamp(max=0), weight.max().clamp(min=0)
            step = (high - low) / 255
            zero = torch.round(-low / step)
            rounded = ((torch.round(weight / step) + zero).clamp(0, 255) - zero) * step
            off = rounded - weight
        return weight + off


class Vector(nn.Module):
    """A bias or gain of the file that learns itself."""

    def __init__(self, name: str, weights: Weights) -> None:
        super().__init__()
        self.name = name
        self.register_buffer("before", weights[name].clone())
        self.before: torch.Tensor
        self.value = nn.Parameter(weights[name].clone())


class Layer(nn.Module):
    """Attention and a perceptron, each after a normalisation and added to what came in."""

    def __init__(self, number: int, weights: Weights, rank: int) -> None:
        super().__init__()
        names = [f"onnx::MatMul_{each}" for each in MATRICES[number]]
        self.matrices = nn.ModuleList(Learned(name, weights[name], rank) for name in names)
        stem = f"layers.{number}"
        self.first_gain = Vector(f"{stem}.input_layernorm.weight", weights)
        self.second_gain = Vector(f"{stem}.post_attention_layernorm.weight", weights)
        self.biases = nn.ModuleList(Vector(f"{stem}.mlp.fc{each}.bias", weights) for each in (1, 2))

    def forward(
        self, x: torch.Tensor, turn: tuple[torch.Tensor, torch.Tensor], mask: torch.Tensor
    ) -> torch.Tensor:
        """Map (batch, time, 288) to the same; the mask says which frames there are."""
        batch, time, _ = x.shape
        query, key, value, out, wide, narrow = (each() for each in self.matrices)
        normal = functional.layer_norm(x, (WIDTH,), self.first_gain.value)
        q, k, v = (
            (normal @ each).view(batch, time, HEADS, -1).transpose(1, 2)
            for each in (query, key, value)
        )
        heard = functional.scaled_dot_product_attention(
            _turned(q, *turn), _turned(k, *turn), v, attn_mask=mask
        )
        x = x + heard.transpose(1, 2).reshape(batch, time, WIDTH) @ out
        normal = functional.layer_norm(x, (WIDTH,), self.second_gain.value)
        first, second = (each.value for each in self.biases)
        return x + functional.gelu(normal @ wide + first) @ narrow + second


class EncoderNetwork(nn.Module):
    """The encoder.

    Args:
        weights: of `read_weights`.
        rank: of what is learned beside each matrix.
    """

    def __init__(self, weights: Weights, rank: int) -> None:
        super().__init__()
        names = [f"conv{each}.weight_add_tensor" for each in (1, 2, 3)]
        self.filters = nn.ModuleList(Learned(name, weights[name], rank) for name in names)
        self.biases = nn.ModuleList(Vector(f"conv{each}.bias", weights) for each in (2, 3))
        self.gain, self.offset = (
            Vector(name, weights) for name in ("onnx::Mul_2080", "onnx::Add_2081")
        )
        self.layers = nn.ModuleList(Layer(number, weights, rank) for number in range(LAYERS))
        self.last_gain = Vector("layer_norm.weight", weights)

    def forward(self, sound: torch.Tensor, n: torch.Tensor) -> torch.Tensor:
        """Map sounds (batch, samples), of `n` samples each, to frames (batch, time, 288)."""
        return self.layered(sound, n)[0]

    def layered(self, sound: torch.Tensor, n: torch.Tensor) -> tuple[torch.Tensor, ...]:
        """Give the frames, and after them what each layer reads."""
        sound = levelled(sound, n)
        first, second, third = (each() for each in self.filters)
        x = torch.tanh(functional.conv1d(sound[:, None], first, stride=KERNELS[0][1]))
        x = _normalised(x, _after(n, 1)) * self.gain.value + self.offset.value
        biases = [each.value for each in self.biases]
        x = functional.gelu(functional.conv1d(x, second, biases[0], stride=KERNELS[1][1]))
        x = functional.gelu(functional.conv1d(x, third, biases[1], stride=KERNELS[2][1]))
        x = x.transpose(1, 2)
        place = torch.arange(x.shape[1], device=x.device)
        mask = (place[None] < frames(n)[:, None])[:, None, None]
        slow = BASE ** (torch.arange(0, TURNED, 2, device=x.device) / -TURNED)
        angle = (place[:, None] * slow).repeat_interleave(2, -1)
        read = []
        for layer in self.layers:
            read.append(functional.layer_norm(x, (WIDTH,), layer.first_gain.value))
            x = layer(x, (angle.cos(), angle.sin()), mask)
        return functional.layer_norm(x, (WIDTH,), self.last_gain.value), *read

    def parts(self) -> Iterator[Learned | Vector]:
        """Give all that has a name in the file."""
        yield from (each for each in self.modules() if isinstance(each, Learned | Vector))


def frames(n: torch.Tensor) -> torch.Tensor:
    """Tell how many frames so many samples give."""
    return _after(n, len(KERNELS))


def levelled(sound: torch.Tensor, n: torch.Tensor) -> torch.Tensor:
    """Bring each sound to the level at which the program lets the encoder hear it."""
    sound = sound * (torch.arange(sound.shape[1], device=sound.device)[None] < n[:, None])
    level = (sound.square().sum(1) / n).sqrt().clamp(min=QUIETEST)
    return sound * (LOUDNESS / level)[:, None]


def added(networks: list[EncoderNetwork], shares: list[float], rank: int) -> Arrays:
    """Give the mean of what several networks learned, as the program reads it.

    Args:
        networks: that began alike.
        shares: how much each counts; less than 1 in all goes less far.
        rank: of what is kept of each matrix (Eckart and Young).
    """
    found: Arrays = {}
    for each in zip(*(network.parts() for network in networks), strict=True):
        name, total = each[0].name, torch.zeros(())
        for part, share in zip(each, shares, strict=True):
            learned = part.added() if isinstance(part, Learned) else part.value - part.before
            total = total + share * learned.detach().cpu()
        if isinstance(each[0], Vector):
            found[f"{name}.{ADDED}"] = total.half().numpy()
            continue
        matrix = total.flatten(1).T if total.ndim > 2 else total
        left, sizes, right = np.linalg.svd(matrix.double().numpy(), full_matrices=False)
        roots = np.sqrt(sizes[:rank])
        found[f"{name}.{READS}"] = (left[:, :rank] * roots).astype(np.float16)
        found[f"{name}.{MOVES}"] = (roots[:, None] * right[:rank]).astype(np.float16)
    return found


def _after(n: torch.Tensor, convolutions: int) -> torch.Tensor:
    for kernel, step in KERNELS[:convolutions]:
        n = (n - kernel) // step + 1
    return n


def _normalised(x: torch.Tensor, n: torch.Tensor) -> torch.Tensor:
    """Normalise over all values of the frames that there are."""
    is_there = (torch.arange(x.shape[2], device=x.device)[None] < n[:, None])[:, None]
    count = n[:, None, None] * x.shape[1]
    mean = (x * is_there).sum((1, 2), keepdim=True) / count
    variance = ((x - mean).square() * is_there).sum((1, 2), keepdim=True) / count
    return (x - mean) * torch.rsqrt(variance + VARIANCE_FLOOR)


def _turned(x: torch.Tensor, cosine: torch.Tensor, sine: torch.Tensor) -> torch.Tensor:
    """Turn pairs of values by their frame's angle (Su et al. 2021, arXiv:2104.09864)."""
    first, rest = x[..., :TURNED], x[..., TURNED:]
    across = torch.stack((-first[..., 1::2], first[..., 0::2]), -1).flatten(-2)
    return torch.cat((first * cosine + across * sine, rest), -1)

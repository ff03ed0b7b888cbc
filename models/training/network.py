"""The network that tells words by the features of a clip, and how it learns; assistant/senses/ear/words.py runs it.

Two convolutions over three hops and two full layers give a vector. Learning pulls the vectors of a word together, by
the angle to one of its own that is learnt too, and sorts them, by a layer for each language, into that language's words
and none.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

TAPS, WIDTH, MIDDLE, VECTOR = 3, 192, 256, 128
SHARPNESS, MARGIN = 20.0, 0.2  # of the angles
SMOOTHED = 0.02  # of what a layer for a language has to be sure of, shared out over its words
DROPPED = 0.2  # of what goes into a layer while it learns
RATE, WARMING, FADING = 2e-3, 300, 1e-2  # of learning; steps until it is reached; and how weights fade
BATCH = 512

Array = NDArray[np.float32]
Weights = dict[str, Array]


@dataclass(frozen=True, slots=True)
class Clips:
    """What is learnt from."""

    features: NDArray[np.float16]  # clips × hops × features
    words: NDArray[np.int64]  # of the vocabulary, or -1
    columns: NDArray[np.int64]  # clips × languages: which column of the language's layer is right; -1: not asked


def begun(chance: np.random.Generator, clips: Clips, words: int, columns: Sequence[int]) -> Weights:
    """What learning begins with."""
    hops, channels = clips.features.shape[1:]
    seen = clips.features[:5000].astype(np.float32).reshape(-1, channels)
    sizes = [(TAPS * channels, WIDTH), (TAPS * WIDTH, WIDTH), (hops * WIDTH, MIDDLE), (MIDDLE, VECTOR)]
    weights: Weights = {"mean": seen.mean(axis=0), "spread": seen.std(axis=0) + np.float32(1e-3)}
    heads = [(f"head {place}", (VECTOR, count)) for place, count in enumerate(columns)]
    for name, size in [*((f"kernel {n}", size) for n, size in enumerate(sizes)), *heads]:
        reach = 1 / np.sqrt(size[0])
        weights[name] = chance.uniform(-reach, reach, size).astype(np.float32)
        weights[name.replace("kernel", "bias") if "kernel" in name else f"{name} bias"] = np.zeros(size[1], np.float32)
    weights["angles"] = (0.1 * chance.standard_normal((words, VECTOR))).astype(np.float32)
    return weights


def learn(weights: Weights, clips: Clips, epochs: float, chance: np.random.Generator, every: int = 0) -> Weights:
    """The weights after so many times all clips; tells how it goes after `every` so many steps."""
    steps = round(len(clips.words) * epochs / BATCH)
    learnt = [name for name in weights if name not in {"mean", "spread"}]
    first, second = ({name: np.zeros_like(weights[name]) for name in learnt} for _ in range(2))
    told = np.zeros(2)
    for step in range(steps):
        batch = chance.integers(len(clips.words), size=BATCH)
        slopes, losses = gradient(weights, clips, batch, chance)
        rate = RATE * min(1.0, (step + 1) / WARMING) * 0.5 * (1 + np.cos(np.pi * step / steps))
        for name in learnt:
            first[name] += np.float32(0.1) * (slopes[name] - first[name])
            second[name] += np.float32(0.001) * (slopes[name] ** 2 - second[name])
            moved = first[name] / (1 - 0.9 ** (step + 1))
            moved /= np.sqrt(second[name] / (1 - 0.999 ** (step + 1))) + 1e-8
            weights[name] -= np.float32(rate) * (moved + np.float32(FADING) * weights[name])
        told += losses
        if every and (step + 1) % every == 0:
            print(f"{step + 1} of {steps}: words {told[0] / every:.3f}, languages {told[1] / every:.3f}", flush=True)
            told[:] = 0
    return weights


def gradient(
    weights: Weights, clips: Clips, batch: NDArray[np.int64], chance: np.random.Generator
) -> tuple[Weights, tuple[float, float]]:
    """How what is lost changes with each weight, and what is lost: in telling words, and in the languages' layers."""
    inputs: list[Array] = []
    kept: list[Array] = []
    sounds = (clips.features[batch].astype(np.float32) - weights["mean"]) / weights["spread"]
    for layer in range(4):
        if layer == 2:
            sounds = sounds.reshape(len(batch), -1)
        if layer:
            kept.append(_kept(sounds.shape, chance))
            sounds = sounds * kept[-1]
        inputs.append(_beside(sounds) if layer < 2 else sounds)
        sounds = inputs[-1] @ weights[f"kernel {layer}"] + weights[f"bias {layer}"]
        if layer < 3:
            sounds = np.maximum(sounds, 0)
    kept.append(_kept(sounds.shape, chance))
    vectors = sounds * kept[-1]
    slopes: Weights = {}
    slope, by_angle = _by_angle(weights, vectors, clips.words[batch], slopes)
    other, by_language = _by_language(weights, vectors, clips.columns[batch], slopes)
    slope = (slope + other) * kept[-1]
    for layer in reversed(range(4)):
        into = inputs[layer]
        flat = slope.reshape(-1, slope.shape[-1])
        slopes[f"kernel {layer}"] = into.reshape(-1, into.shape[-1]).T @ flat
        slopes[f"bias {layer}"] = flat.sum(axis=0)
        if layer:
            slope = slope @ weights[f"kernel {layer}"].T
            slope = _together(slope) if layer < 2 else slope
            slope = slope * kept[layer - 1] * ((inputs[layer] if layer > 1 else _middle(inputs[layer])) > 0)
            if layer == 2:
                slope = slope.reshape(len(batch), -1, WIDTH)
    return slopes, (by_angle, by_language)


def _by_angle(weights: Weights, vectors: Array, words: NDArray[np.int64], slopes: Weights) -> tuple[Array, float]:
    """Of the vectors that are words: each is to be near to its word's own, by MARGIN nearer than to any other's."""
    rows = np.flatnonzero(words >= 0)
    long = np.linalg.norm(vectors[rows], axis=1, keepdims=True) + np.float32(1e-6)
    own = np.linalg.norm(weights["angles"], axis=1, keepdims=True)
    units, centres = vectors[rows] / long, weights["angles"] / own
    fits = units @ centres.T
    fits[np.arange(len(rows)), words[rows]] -= np.float32(MARGIN)
    shares, lost = _softmax(np.float32(SHARPNESS) * fits, words[rows])
    slope = np.float32(SHARPNESS / len(rows)) * shares
    at_units, at_centres = slope @ centres, slope.T @ units
    slopes["angles"] = (at_centres - centres * np.sum(at_centres * centres, axis=1, keepdims=True)) / own
    found = np.zeros_like(vectors)
    found[rows] = (at_units - units * np.sum(at_units * units, axis=1, keepdims=True)) / long
    return found, lost / len(rows)


def _by_language(weights: Weights, vectors: Array, columns: NDArray[np.int64], slopes: Weights) -> tuple[Array, float]:
    """Each language's layer is to name its words, and what is none."""
    found, lost, asked = np.zeros_like(vectors), 0.0, (columns >= 0).sum()
    for place in range(columns.shape[1]):
        rows = np.flatnonzero(columns[:, place] >= 0)
        kernel = weights[f"head {place}"]
        slope, some = _softmax(vectors[rows] @ kernel + weights[f"head {place} bias"], columns[rows, place], SMOOTHED)
        slope /= np.float32(asked)
        slopes[f"head {place}"], slopes[f"head {place} bias"] = vectors[rows].T @ slope, slope.sum(axis=0)
        found[rows] += slope @ kernel.T
        lost += some
    return found, lost / asked


def _softmax(scores: Array, right: NDArray[np.int64], smoothed: float = 0) -> tuple[Array, float]:
    """How the loss changes with each score, and the loss, both summed over the rows."""
    scores = scores - scores.max(axis=1, keepdims=True, initial=-np.inf)
    shares = np.exp(scores)
    shares /= shares.sum(axis=1, keepdims=True)
    rows = np.arange(len(right))
    lost = -float(np.log(shares[rows, right] + 1e-9).sum())
    shares -= np.float32(smoothed / scores.shape[1])
    shares[rows, right] -= np.float32(1 - smoothed)
    return shares, lost


def _kept(shape: tuple[int, ...], chance: np.random.Generator) -> Array:
    return (chance.random(shape, np.float32) >= DROPPED).astype(np.float32) / np.float32(1 - DROPPED)


def _beside(sounds: Array) -> Array:
    """Each hop with those before and after it: clips × hops × (TAPS × channels)."""
    padded = np.pad(sounds, ((0, 0), (TAPS // 2, TAPS // 2), (0, 0)))
    return np.concatenate([padded[:, tap : tap + sounds.shape[1]] for tap in range(TAPS)], axis=2)


def _together(slope: Array) -> Array:
    """What `_beside` makes three of is one again: the sum of the slopes."""
    clips, hops, channels = slope.shape
    total = np.zeros((clips, hops + TAPS - 1, channels // TAPS), np.float32)
    for tap, part in enumerate(np.split(slope, TAPS, axis=2)):
        total[:, tap : tap + hops] += part
    return total[:, TAPS // 2 : TAPS // 2 + hops]


def _middle(beside: Array) -> Array:
    """Of hops with those beside them, the hops themselves."""
    return np.split(beside, TAPS, axis=2)[TAPS // 2]

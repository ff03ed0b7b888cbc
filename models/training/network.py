"""The network that tells words by clips, and how it learns; assistant/senses/ear/words.py runs it.

The general network of speech gives features; two convolutions over three hops and two full layers a vector. Learning
pulls the vectors of a word together, by the angle to one of its own that is learnt too, and sorts them, by a layer for
each language, into that language's words and none. Then the last layers of the general network are taught on together
with these, for a little: it has heard far more people than there are synthetic voices.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import optax  # type: ignore[import-untyped]
from numpy.typing import NDArray

from assistant.senses.ear.embedding import DEEPEST, EARLY, LEAK, STAGES, late_layers

TAPS, WIDTH, MIDDLE, VECTOR = 3, 192, 256, 128
SHARPNESS, MARGIN = 20.0, 0.2  # of the angles
SMOOTHED = 0.02  # of what a layer for a language has to be sure of, shared out over its words
DROPPED = 0.2  # of what goes into a layer while it learns
FADING = 1e-2  # how weights fade
SOME = 2000  # clips whose features are computed at once

Array = NDArray[np.float32]
Weights = dict[str, Any]  # by name, arrays


@dataclass(frozen=True, slots=True)
class Clips:
    """What is learnt from."""

    early: NDArray[np.float16]  # clips × frames × bands × channels, what assistant/senses/ear/embedding.py calls so
    words: NDArray[np.int64]  # of the vocabulary, or -1
    columns: NDArray[np.int64]  # clips × languages: which column of the language's layer is right; -1: not asked


@dataclass(frozen=True, slots=True)
class Course:
    """How a while of learning goes."""

    epochs: float
    batch: int
    rate: float  # of learning, the highest
    warming: int  # steps until it is reached


ALONE, TOGETHER = Course(8, 512, 2e-3, 300), Course(2, 256, 5e-4, 50)


def trained(
    clips: Clips, words: int, columns: Sequence[int], seed: int, alone: Course = ALONE, together: Course = TOGETHER
) -> Weights:
    """What has learnt from clips: of so many words, and languages with so many columns each."""
    published = {name: jnp.asarray(array) for name, array in general().items()}
    parts = [features(published, clips.early[at : at + SOME]) for at in range(0, len(clips.words), SOME)]
    heard = np.concatenate([np.asarray(part, np.float16) for part in parts])
    chance = np.random.default_rng([seed, 2])
    weights = learnt(begun(chance, heard, words, columns), heard, clips, alone, chance)
    return learnt({**weights, **published}, clips.early, clips, together, chance)


def begun(chance: np.random.Generator, heard: NDArray[np.float16], words: int, columns: Sequence[int]) -> Weights:
    """What learning begins with, where `heard` are the features of the clips."""
    hops, channels = heard.shape[1:]
    seen = heard[:5000].astype(np.float32).reshape(-1, channels)
    sizes = [(TAPS * channels, WIDTH), (TAPS * WIDTH, WIDTH), (hops * WIDTH, MIDDLE), (MIDDLE, VECTOR)]
    weights: Weights = {"mean": seen.mean(axis=0), "spread": seen.std(axis=0) + np.float32(1e-3)}
    heads = [(f"head {place}", (VECTOR, count)) for place, count in enumerate(columns)]
    for name, size in [*((f"kernel {n}", size) for n, size in enumerate(sizes)), *heads]:
        reach = 1 / np.sqrt(size[0])
        weights[name] = chance.uniform(-reach, reach, size).astype(np.float32)
        weights[name.replace("kernel", "bias") if "kernel" in name else f"{name} bias"] = np.zeros(size[1], np.float32)
    weights["angles"] = (0.1 * chance.standard_normal((words, VECTOR))).astype(np.float32)
    return weights


def learnt(
    weights: Weights, sounds: NDArray[np.float16], clips: Clips, course: Course, chance: np.random.Generator
) -> Weights:
    """The weights after learning from `sounds`: the features of the clips, or what comes early in them."""
    steps = max(1, round(len(clips.words) * course.epochs / course.batch))
    rate = optax.warmup_cosine_decay_schedule(0.0, course.rate, min(course.warming, steps - 1), steps)
    still = {name: weights[name] for name in ("mean", "spread")}
    moving = {name: jnp.asarray(each) for name, each in weights.items() if name not in still}
    adam = optax.adamw(rate, weight_decay=FADING)
    state = adam.init(moving)

    @jax.jit
    def step(moving: Any, state: Any, batch: Any, key: Any) -> Any:
        losses, slopes = jax.value_and_grad(lambda moved: lost({**still, **moved}, batch, key))(moving)
        changes, state = adam.update(slopes, state, moving)
        return optax.apply_updates(moving, changes), state, losses

    told = 0.0
    for number in range(steps):
        drawn = np.sort(chance.integers(len(clips.words), size=course.batch))
        batch = sounds[drawn].astype(np.float32), clips.words[drawn], clips.columns[drawn]
        moving, state, losses = step(moving, state, batch, jax.random.key(int(chance.integers(2**31))))
        told += float(losses)
        if (number + 1) % 200 == 0:
            print(f"{number + 1} of {steps}: {told / 200:.3f}", flush=True)
            told = 0.0
    return {**still, **{name: np.asarray(each) for name, each in moving.items()}}


def lost(weights: Weights, batch: Any, key: Any) -> Any:
    """What is lost in telling words, and in the languages' layers; a batch: sounds, words, columns."""
    sounds, words, columns = batch
    values = features(weights, sounds) if sounds.ndim == 4 else sounds
    values = (values - weights["mean"]) / weights["spread"]
    keys = jax.random.split(key, 4)
    for layer in range(4):
        values = values.reshape(len(values), -1) if layer == 2 else values
        values = _some(values, keys[layer - 1]) if layer else values
        values = (_beside(values) if layer < 2 else values) @ weights[f"kernel {layer}"] + weights[f"bias {layer}"]
        values = jnp.maximum(values, 0) if layer < 3 else values
    vectors = _some(values, keys[3])
    return _by_angle(weights, vectors, words) + _by_language(weights, vectors, columns)


def _by_angle(weights: Weights, vectors: Any, words: Any) -> Any:
    """Each vector that is a word's is to be near to that word's own, by MARGIN nearer than to any other's."""
    units, own = (each / (jnp.linalg.norm(each, axis=1, keepdims=True) + 1e-6) for each in (vectors, weights["angles"]))
    right = jax.nn.one_hot(words, len(own))  # none where there is no word
    shares = jax.nn.log_softmax(SHARPNESS * (units @ own.T - MARGIN * right))
    return -(shares * right).sum() / jnp.maximum((words >= 0).sum(), 1)


def _by_language(weights: Weights, vectors: Any, columns: Any) -> Any:
    """Each language's layer is to name its words, and what is none."""
    total = 0.0
    for place in range(columns.shape[1]):
        shares = jax.nn.log_softmax(vectors @ weights[f"head {place}"] + weights[f"head {place} bias"])
        right = jax.nn.one_hot(columns[:, place], shares.shape[1])
        goal = (1 - SMOOTHED) * right + SMOOTHED / shares.shape[1]
        total -= ((shares * goal).sum(axis=1) * (columns[:, place] >= 0)).sum()
    return total / jnp.maximum((columns >= 0).sum(), 1)


def _some(values: Any, key: Any) -> Any:
    return values * jax.random.bernoulli(key, 1 - DROPPED, values.shape) / (1 - DROPPED)


def _beside(values: Any) -> Any:
    """Each hop with those before and after it: clips × hops × (TAPS × channels)."""
    padded = jnp.pad(values, ((0, 0), (TAPS // 2, TAPS // 2), (0, 0)))
    return jnp.concatenate([padded[:, tap : tap + values.shape[1]] for tap in range(TAPS)], axis=2)


def general() -> Weights:
    """The last layers of the general network, as they were published."""
    layers = enumerate(late_layers())
    return {
        f"general {of} {n:02}": each for n, layer in layers for of, each in zip(("kernel", "bias"), layer, strict=True)
    }


@jax.jit
def features(weights: Weights, early: Any) -> Any:
    """Clips × hops × features, as assistant/senses/ear/embedding.py computes them."""
    names = iter(sorted(name for name in weights if name.startswith("general kernel")))
    layers: Iterator[Any] = ((weights[name], weights[name.replace("kernel", "bias")]) for name in names)
    sounds = jnp.asarray(early, jnp.float32)
    for pairs, frames in STAGES[EARLY:]:
        for _ in range(pairs):
            sounds = _active(_convolved(jnp.pad(sounds, ((0, 0), (0, 0), (1, 1), (0, 0))), next(layers), 2))
            sounds = _active(_convolved(sounds, next(layers), 1))
        sounds = _largest(_largest(sounds, 2, 2), 1, frames)
    return _convolved(sounds, next(layers), 1)[:, :, 0]


def _convolved(sounds: Any, layer: Any, axis: int) -> Any:
    kernel, bias = layer
    length = sounds.shape[axis] - len(kernel) + 1
    taps = [jax.lax.slice_in_dim(sounds, tap, tap + length, axis=axis) for tap in range(len(kernel))]
    return jnp.concatenate(taps, axis=3) @ kernel.reshape(-1, kernel.shape[2]) + bias


def _active(sounds: Any) -> Any:
    return jnp.maximum(sounds, jnp.maximum(sounds * LEAK, DEEPEST))


def _largest(sounds: Any, axis: int, of: int) -> Any:
    whole = sounds.shape[axis] // of * of
    parts = jax.lax.slice_in_dim(sounds, 0, whole, axis=axis)
    return parts.reshape(*parts.shape[:axis], whole // of, of, *parts.shape[axis + 1 :]).max(axis=axis + 1)

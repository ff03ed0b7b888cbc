"""How like a sound is to each of the words that a weaver taught, by where the trained network puts them. Pure.

The vectors that the network gives lie close together for any speech. They are told apart where other people's words,
its `strangers`, are spread evenly in every direction (whitening, a little held back); there the cosine between two of
them tells how alike they are.
"""

import zlib
from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.clip import LEVEL
from assistant.senses.ear.embedding import Mel, features

HELD_BACK = 3.0  # times the mean variance, added to each direction's
BY_NEAREST = 0.3  # part of the likeness that the nearest example has; the rest has the middle of all of a word
BESIDE = 0.4  # part of the likeness of the word next to it, by which a word's is less
ANYONES = 0.25  # what that is at least, for whatever else may be said
LIKE = 0.51  # its examples a word taught has to be; then it is just sure enough
STEEP = 8.0  # by as much as 1 / STEEP more like it is e times as likely
AMID = (1.8, 0.9)  # how far below the word noises lie that examples are laid into, in units of 10 dB
CLEAR = 2.2  # by which a word stands out of the room that is not laid beside these, in the same units
QUIET, LOUD = 10, 95  # percentiles of the levels of a clip
TILT = 0.15  # by which such a noise is louder in the highest band than in the middle, and fainter in the lowest
LEVEL_OF_BANDS = 0.5  # by which one band of a word is fainter than all

Places = NDArray[np.float32]  # sounds × numbers, each of length 1


class Voices(Protocol):
    """A network that gives a vector for each clip."""

    strangers: NDArray[np.float32]  # words × numbers: vectors of words by many people

    def scores(self, features: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Of clips × hops × FEATURES: a vector of each, clips × numbers; and what else there is to it."""


class Space:
    """Where words lie, so that those that sound alike lie near each other."""

    def __init__(self, voices: Voices):
        self._voices = voices
        self._middle = voices.strangers.mean(axis=0)
        variances, directions = np.linalg.eigh(np.cov(voices.strangers.T))
        self._whiten = (directions / np.sqrt(variances + HELD_BACK * variances.mean())).astype(np.float32)
        self.numbers = len(self._middle)  # of a place
        self.version = zlib.crc32(voices.strangers.tobytes())  # of the network: another one has another space

    def places(self, vectors: NDArray[np.float32]) -> Places:
        """Of vectors that the network gave."""
        unit = vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), np.float32(1e-6))
        white = (unit - self._middle) @ self._whiten
        return np.asarray(white / np.maximum(np.linalg.norm(white, axis=1, keepdims=True), 1e-6), np.float32)

    def of(self, clips: Sequence[Mel]) -> Places:
        """Of clips, as clip.py makes them; at least one."""
        return self.places(self._voices.scores(features(np.stack(clips)))[0])

    def amid(self, clip: Mel) -> Places:
        """Where one lies amid each noise, noises × numbers."""
        return self.of([amid(clip, below) for below in AMID])


def amid(mel: Mel, below: float) -> Mel:
    """A clip as it would be in a steady noise so far below the word, in units of 10 dB."""
    noise = LEVEL - below - LEVEL_OF_BANDS + np.linspace(-TILT, TILT, mel.shape[1], dtype=np.float32)
    chance = np.random.default_rng(0).exponential(1, mel.shape).astype(np.float32)
    return np.asarray(np.log10(10**mel + chance * 10**noise), np.float32)


def standing(mel: Mel) -> float:
    """By how much the word of a clip stands out of its quietest parts, all bands together, in units of 10 dB."""
    levels = mel.mean(axis=1)
    return float(np.percentile(levels, LOUD) - np.percentile(levels, QUIET))


class Likeness:
    """Lays sounds beside examples of words."""

    def __init__(self, words: Sequence[str], places: Places):
        """The word of each example, and where it lies; at least one."""
        self.words = list(dict.fromkeys(words))
        labels = np.array(words)
        self._examples = [places[labels == word] for word in self.words]
        middles = np.stack([examples.mean(axis=0) for examples in self._examples])
        self._middles = middles / np.linalg.norm(middles, axis=1, keepdims=True)

    def of(self, places: Places) -> NDArray[np.float32]:
        """Sounds × words, less than 1; less where another word is nearly as like."""
        nearest = np.stack([(places @ examples.T).max(axis=1) for examples in self._examples], axis=1)
        like = BY_NEAREST * nearest + (1 - BY_NEAREST) * (places @ self._middles.T)
        beside = np.full_like(like, ANYONES)
        for at in range(len(self.words)) if len(self.words) > 1 else ():
            beside[:, at] = np.maximum(ANYONES, np.delete(like, at, axis=1).max(axis=1))
        return np.asarray(like - BESIDE * beside, np.float32)


def sure(like: float, enough: float) -> float:
    """How sure a word is that is so like its examples, 0 to 1: `enough` where it is LIKE them."""
    return float(1 / (1 + (1 - enough) / enough * np.exp(STEEP * (LIKE - like))))

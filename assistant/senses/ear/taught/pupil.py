"""Listens to a lesson: first to the room, then for words said on their own. Of sound only mel energies go out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.engine import NOTHING, RATE
from assistant.senses.ear.gate import Gate
from assistant.senses.ear.taught.features import Frames, mel_energies
from assistant.senses.ear.taught.finder import Finder

QUIET = round(1.5 * RATE)  # samples by which the room is judged


@dataclass(frozen=True, slots=True)
class Quiet:
    """The room, while nobody was to speak."""

    energies: Frames


@dataclass(frozen=True, slots=True)
class Said:
    """A word."""

    energies: Frames


class Pupil:
    """Takes sound block by block; knows no clock but the samples.

    Each word is looked for as if nothing but the room had been heard before: in a lesson so much is said that the
    finder would take the weaver for what goes on in the room.
    """

    def __init__(self) -> None:
        self._room = NOTHING
        self._finder: Finder | None = None  # of the next word, once something is to be heard
        self._gate = Gate()

    def listen(self, block: NDArray[np.int16], closed: bool) -> list[Quiet | Said]:
        """What is in this block, mono at 16 kHz; `closed`: the mouth is speaking, so do not listen."""
        heard = self._gate.open_part(block, closed)
        if len(heard) < len(block):
            self._finder = None
        if not len(heard):
            return []
        return self._find(heard) if len(self._room) >= QUIET else self._measure(heard)

    def _find(self, heard: NDArray[np.int16]) -> list[Quiet | Said]:
        self._finder = self._finder or self._begin()
        found = [Said(mel_energies(word.samples)) for word in self._finder.feed(heard)]
        if found:
            self._finder = None
        return [*found]

    def _measure(self, quiet: NDArray[np.int16]) -> list[Quiet | Said]:
        self._room = np.concatenate([self._room, quiet])
        return [Quiet(mel_energies(self._room))] if len(self._room) >= QUIET else []

    def _begin(self) -> Finder:
        finder = Finder()
        for _ in finder.feed(self._room):
            pass
        finder.skip(len(self._room))  # a word begins after some quiet, not where the ear has just been opened
        return finder

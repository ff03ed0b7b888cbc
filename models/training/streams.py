"""Some time in a room, and what the ear's own finder of words finds there: words, parts of words, talk, noises.

And numbers said without a pause between, each as it is cut out of its row.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.clip import clip
from assistant.senses.ear.embedding import Mel
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.sound import EAR_RATE
from training.scenes import NO_WORD, Backgrounds, Chance, Corpus, burst, changed, in_room, taken_up

LASTS = 30 * EAR_RATE  # samples of a stream
BLOCK = EAR_RATE // 10
ROWS, TALK, NOISES = 0.08, 0.12, 0.1  # shares of what goes on; the rest are words on their own
MOST_IN_ROW = 5
EARLY, LATE = round(0.2 * EAR_RATE), round(0.05 * EAR_RATE)  # by which a word may be found to begin too early, or late
SHORT, OVER = round(0.06 * EAR_RATE), round(0.3 * EAR_RATE)  # and its end
PART = 0.75  # of a word, or less, is none
KEPT = 0.15  # of what is none: there is far more of it
BREATH = 0.3  # of a word, or less, is no matter in what was found

Mark = tuple[int, int]  # the word of the vocabulary, or NO_WORD; and a word of the language spoken, or NO_WORD


@dataclass(frozen=True, slots=True)
class Part:
    """What was said from one sample to another."""

    start: int
    end: int
    mark: Mark

    def share(self, start: int, end: int) -> float:
        """How much of it lies between two samples."""
        return max(0, min(end, self.end) - max(start, self.start)) / (self.end - self.start)


def clips(words: Corpus, talk: Corpus, backgrounds: Backgrounds, chance: Chance) -> Iterator[tuple[Mel, Mark]]:
    """All that is found in one of as many streams as chance can make, but for what is neither a word nor none."""
    sound, runs = stream(words, talk, backgrounds, chance)
    parts = [part for run in runs for part in run]
    finder = WordFinder(guessing=True)
    for found in (each for at in range(0, LASTS, BLOCK) for each in finder.feed(sound[at : at + BLOCK])):
        start, end, decided = (round(s * EAR_RATE) for s in (found.start_s, found.end_s, found.decided_s))
        mark = marked(parts, start, end)
        if mark and (mark[0] != NO_WORD or chance.random() < KEPT):
            yield clip(sound[:decided], start, end), mark
    for run in (run for run in runs if len(run) > 1):
        yield from _cut(sound, run, chance)


def stream(
    words: Corpus, talk: Corpus, backgrounds: Backgrounds, chance: Chance
) -> tuple[NDArray[np.int16], Sequence[Sequence[Part]]]:
    """As a microphone takes it up in a room where something else goes on; and what was said, rows together."""
    sound, at = np.zeros(LASTS, np.float32), int(EAR_RATE * chance.uniform(1.0, 1.6))
    runs: list[list[Part]] = []
    while True:
        kind = chance.random()
        run: list[Part] = []
        for corpus, place in _drawn(words, talk, kind, chance):
            said = changed(corpus.said(place), chance)
            mark = (NO_WORD if corpus is talk else int(corpus.words[place]), int(corpus.words[place]))
            at -= min(len(said) // 4, int(chance.uniform(-600, 1200))) if run else 0
            run.append(Part(at, at + len(said), mark))
            if run[-1].end > LASTS - EAR_RATE // 2:
                heard = in_room(sound, chance)
                speech = np.concatenate([heard[part.start : part.end] for run in runs for part in run])
                return taken_up(heard, speech, 4, backgrounds, chance), runs
            sound[at : run[-1].end] += said * np.float32(10 ** chance.uniform(-0.25, 0.15))
            at = run[-1].end
        if run:
            runs.append(run)
        else:
            width = int(np.exp(chance.uniform(np.log(100), np.log(6000))))
            at += width
            sound += np.float32(10 ** chance.uniform(2.2, 3.6)) * burst(backgrounds, LASTS, at, width, chance)
            at += width
        at += int(EAR_RATE * np.exp(chance.uniform(np.log(0.2), np.log(1.6))))


def _drawn(words: Corpus, talk: Corpus, kind: float, chance: Chance) -> Iterator[tuple[Corpus, int]]:
    """What is said next, of a kind from 0 to 1."""
    if kind < ROWS:
        for _ in range(int(chance.integers(2, MOST_IN_ROW + 1))):
            yield words, words.drawn(chance)
    elif kind < ROWS + TALK:
        yield talk, talk.drawn(chance)
    elif kind < 1 - NOISES:
        yield words, words.drawn(chance)


def marked(parts: Sequence[Part], start: int, end: int) -> Mark | None:
    """What was found from one sample to another; None for what is neither a word nor none."""
    within = [part for part in parts if part.share(start, end) > BREATH]
    if not within:
        touched = [part for part in parts if part.share(start, end) > 0]
        return (NO_WORD, touched[0].mark[1] if touched else NO_WORD)
    part = within[0]
    if len(within) > 1 or part.mark[0] == NO_WORD or part.share(start, end) < PART:
        return NO_WORD, part.mark[1]
    fits = -EARLY <= start - part.start <= LATE and -SHORT <= end - part.end <= OVER
    return part.mark if fits else None


def _cut(sound: NDArray[np.int16], row: Sequence[Part], chance: Chance) -> Iterator[tuple[Mel, Mark]]:
    """The words of a row, and what is none: a piece from the middle of one to the middle of the next."""
    for part in row:
        start, end = (max(0, edge + int(chance.uniform(-500, 500))) for edge in (part.start, part.end))
        yield clip(sound[:end], start, end), part.mark
    for before, after in pairwise(row):
        start, end = (int(part.start + chance.uniform(0.3, 0.7) * (part.end - part.start)) for part in (before, after))
        yield clip(sound[:end], start, end), (NO_WORD, after.mark[1])

"""Synthetic weavers, close and dry, in noise, and in rooms: taught by three examples of each word, and untaught."""

from collections.abc import Iterator, Mapping

from parts.conditions import CLEAN, Condition, conditions, said_in
from parts.pupils import Lesson, Pupil, Teach
from parts.scoring import Cell, Results, delays, gather, score
from parts.spoken import NATURAL, word
from parts.streams import alone
from parts.wanted import ENGLISH, KINDS, MOST, NUMBERS, SHAFTS, said_for

EXAMPLES = 3  # of a word
Words = list[tuple[str, str]]  # label, and what is said for it

COMMANDS: Words = [(kind, said_for(kind, ENGLISH)) for kind in KINDS]
PHRASES: Words = [(kind, text) for kind, texts in ENGLISH.commands.items() for text in texts]
TO_SHAFTS: Words = [(number, said_for(number, ENGLISH)) for number in NUMBERS[:SHAFTS]]
TO_MOST: Words = [(number, said_for(number, ENGLISH)) for number in NUMBERS]
TAUGHT = {"commands": (COMMANDS, 0), f"numbers to {SHAFTS}": (TO_SHAFTS, SHAFTS), f"numbers to {MOST}": (TO_MOST, MOST)}
UNTAUGHT = {**TAUGHT, "commands": (PHRASES, 0)}
SELDOM = f"numbers to {MOST}"  # said only close and dry


def lesson(name: str, words: Words) -> Lesson:
    """Each word so often, in a quiet room."""
    return {label: [alone(word(name, text, take), (take,)) for take in range(EXAMPLES)] for label, text in words}


def measure(name: str, ears: Mapping[str, Teach], repetitions: int, seed: int, snrs: tuple[int, ...]) -> Results:
    """A voice says each word so often in each condition."""
    results: Results = {}
    taught = lesson(name, COMMANDS + TO_MOST)
    for ear, teach in ears.items():
        for told, learnt, words in (("taught", taught, TAUGHT), ("untaught", {}, UNTAUGHT)):
            if pupil := teach(learnt):
                for condition in conditions(snrs):
                    for repetition in range(repetitions):
                        take = EXAMPLES + 1000 * seed + repetition
                        gather(results, ear, _heard(name, pupil, told, words, condition, take))
    return results


def _heard(
    name: str, pupil: Pupil, told: str, words: Mapping[str, tuple[Words, int]], condition: Condition, take: int
) -> Iterator[tuple[str, Cell]]:
    for mode, (wanted, largest) in words.items():
        if mode == SELDOM and condition != CLEAN:
            continue
        sound, said = said_in(name, wanted, condition, take)
        heard = pupil.hears(sound, largest)
        yield f"{told}, {mode}, {condition}", score(heard, said)
        yield f"decided after a word's end, {told}, {mode}, 50 % / 95 % ms", delays(heard, said)
        if name in NATURAL and (told, mode, condition) == ("untaught", "commands", CLEAN):
            yield f"{told}, {mode}, {condition}, by natural voices", score(heard, said)

"""Real people, each saying the ten digits many times: as commands, as numbers, taught and untaught.

A folder of recordings named {digit}_{speaker}_{repetition}.wav, of any rate, trimmed close, as the
free-spoken-digit-dataset has them (CC BY-SA 4.0). Each speaker has one level, by the middle one of the recordings, so
that these lie as far apart as they did; a second of quiet with a little noise stands around each.
"""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
import soundfile
import soxr
from parts.pupils import Pupil, Teach
from parts.scoring import Cell, Results, Score, Share, gather, score, taken
from parts.spoken import RATE, WEAVER_DB, Sound, level
from parts.streams import alone, one_by_one
from parts.wanted import KINDS

DIGITS = [str(digit) for digit in range(10)]
COMMANDS = dict(zip(DIGITS, KINDS, strict=False))  # for which each stands
SHAFTS = [str(number) for number in range(1, 9)]
EXAMPLES, TRIED = 3, 12  # recordings of a word
OPEN = 5  # of the ten words that are taught where the others are strangers

Speaker = Mapping[str, Sequence[Sound]]  # by digit


def read(folder: Path) -> dict[str, Speaker]:
    """The speakers by name, at 16 kHz."""
    files: dict[str, dict[str, list[Path]]] = {}
    for file in sorted(folder.glob("*_*_*.wav")):
        digit, name, _ = file.stem.split("_")
        files.setdefault(name, {}).setdefault(digit, []).append(file)
    return {
        name: _levelled({digit: [*map(_read, each)] for digit, each in said.items()}) for name, said in files.items()
    }


def measure(speaker: Speaker, ears: Mapping[str, Teach], draws: int = 2, seed: int = 0) -> Results:
    """Commands, numbers, strangers: over so many draws of what is taught and what is tried, the same for each ear."""
    results: Results = {}
    for at in range(draws):
        for name, teach in ears.items():
            gather(results, name, Draw(speaker, teach, (seed, at)).measured())
    return results


class Draw:
    """One ear hears what a speaker says, and was taught by other recordings of the same words."""

    def __init__(self, speaker: Speaker, teach: Teach, seed: tuple[int, int]):
        chance = np.random.default_rng(seed)
        self._teach, self._seed = teach, seed
        self._taught: dict[str, list[Sound]] = {}
        self._tried: dict[str, list[Sound]] = {}
        for digit in DIGITS:
            drawn = [speaker[digit][place] for place in chance.permutation(len(speaker[digit]))]
            self._taught[digit], self._tried[digit] = drawn[:EXAMPLES], drawn[EXAMPLES : EXAMPLES + TRIED]
        self._order = [str(digit) for digit in chance.permutation(DIGITS)]

    def measured(self) -> Iterator[tuple[str, Cell]]:
        for count in range(EXAMPLES, 0, -1):
            pupil = self._pupil(COMMANDS, count)
            if pupil:
                told = f"{count} example{'s' if count > 1 else ''}"
                yield f"commands, {told}", self._heard(pupil, COMMANDS, 0)
                yield f"examples turned away, {told}", Share(count * len(COMMANDS), pupil.turned_away)
        numbers = {digit: digit for digit in SHAFTS}
        if pupil := self._pupil(numbers, EXAMPLES):
            yield f"numbers 1 to {len(SHAFTS)}", self._heard(pupil, numbers, len(SHAFTS))
        if untaught := self._teach({}):
            yield "numbers 0 to 9, untaught", self._heard(untaught, {digit: digit for digit in DIGITS}, 9)
        known = {digit: COMMANDS[digit] for digit in self._order[:OPEN]}
        if pupil := self._pupil(known, EXAMPLES):
            yield f"{OPEN} commands", self._heard(pupil, known, 0)
            strangers, said = one_by_one(
                [("", sound) for digit in self._order[OPEN:] for sound in self._tried[digit]], self._seed
            )
            yield "the other words taken for one", taken(pupil.hears(strangers, 0), said)

    def _pupil(self, labels: Mapping[str, str], count: int) -> Pupil | None:
        """Taught by so many examples of each."""
        return self._teach(
            {
                label: [alone(sound, (*self._seed, place)) for place, sound in enumerate(self._taught[digit][:count])]
                for digit, label in labels.items()
            }
        )

    def _heard(self, pupil: Pupil, labels: Mapping[str, str], largest: int) -> Score:
        words = [(label, sound) for digit, label in labels.items() for sound in self._tried[digit]]
        chance = np.random.default_rng(self._seed)
        sound, said = one_by_one([words[place] for place in chance.permutation(len(words))], self._seed)
        return score(pupil.hears(sound, largest), said)


def _read(file: Path) -> Sound:
    sound, rate = soundfile.read(file, dtype="float64")
    return np.asarray(soxr.resample(sound, rate, RATE))


def _levelled(said: Speaker) -> Speaker:
    """At the weaver's level, by the middle one."""
    middle = np.median([level(sound) for each in said.values() for sound in each])
    gain = 10 ** ((WEAVER_DB - middle) / 20)
    return {digit: [sound * gain for sound in each] for digit, each in said.items()}

"""The ear that was taught: a word is heard if it is near to what the weaver said, and clearly nearer than any other."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from assistant.meaning import Tell, runs
from assistant.senses.ear.comparing import Comparison, noise_around
from assistant.senses.ear.engine import MOST_BY_VOICE, MOST_IN_ROW, meanings
from assistant.senses.ear.features import STEP, Frames, Templates, decoys, mel_energies
from assistant.senses.ear.taught import Taught
from assistant.senses.ear.utterance import FRAME, MARGIN, frames
from assistant.senses.ear.word_finder import AROUND
from assistant.senses.sound import NOTHING
from assistant.words.language import Language

# A word is as unlike as it is far, times the square of the part that this is of the distance to the nearest other word,
# times how much it differs where it is glimpsed; and more so where little of it was to be heard. In a noise all that is
# said is farther, but what was taught stays nearer to its own examples than to any other word, and fits where it stands
# out. The second nearest word may not fit better, nor a longer one account better for all that was heard.
FAR = 50.0  # at most, that another word counts to be; one of quite another length is out of reach
COMPARED = 12  # words at least, taught or made up as decoys, from which the nearest is chosen
ENOUGH = 0.2  # glimpsed of a word; a scrap of talk, amid talk as loud, shows less and may look like anything
LARGEST_FREED = 8 * 2**20  # bytes; a decision needs about as much at once
COMMAND, NUMBER = 130.0, 95.0  # how unlike a word may be; many numbers sound alike
BEFORE = frames(0.38)  # compared before what is around a word: it may be the end of another
SHORTEST = frames(0.1)  # of a word in a row
PAUSE = frames(0.12)  # at least, between two words of a row; stops inside a word are shorter
HIGHEST = 20.0  # dB to which each band counts
ABOVE_NOISE = 5.0  # dB by which a word of a row stands out of the noise, on average over the bands


class TaughtEngine:
    """Compares what is said with the weaver's examples; any words in any language may stand for commands."""

    keen = True

    def __init__(self, language: Language, taught: Taught, leniency: float = 1.0):
        """`leniency`: how much more unlike its examples a word may be than is usual."""
        self.language = language
        self._taught = taught
        self._spelled = {word: spelling(word, language) for word in taught.words()}
        self._numbers = [int(word) for word in taught.words() if word.isdecimal()]
        self._leniency = leniency
        self._templates: dict[int, Templates] = {}
        self._among(0)  # not at the first word, which would be heard late
        _keep_memory()
        self.lacks = self._lacks()

    def recognise(
        self, samples: NDArray[np.int16], largest: int, before: NDArray[np.int16] = NOTHING
    ) -> tuple[str, float] | None:
        before = before[-BEFORE * FRAME :]
        heard, first = mel_energies(np.concatenate([before, samples])), len(before) // STEP
        found = self._nearest(heard, noise_around(heard[first:]), largest, AROUND, first)
        return found if found and found[0] in meanings(self.language, largest) else None

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        """Only where the numbers were taught; with a small pause between them, each has to be heard."""
        said = mel_energies(samples)
        noise = noise_around(said)
        found = [self._nearest(piece, noise, largest, MARGIN) for piece in pieces(said, noise)]
        heard = [each for each in found if each]
        if not heard or len(heard) < len(found) or len(found) > MOST_IN_ROW:
            return None
        words = [word for word, _ in heard]
        numbers = set(self.language.numbers[1 : largest + 1])
        if not (numbers.issuperset(words) or (len(words) == 1 and words[0] in meanings(self.language, 0))):
            return None
        return words, min(score for _, score in heard)

    def _nearest(
        self, heard: Frames, noise: NDArray[np.float32], largest: int, margin: int, before: int = 0
    ) -> tuple[str, float] | None:
        """The word, in the language's spelling, that is near enough and clearly the nearest; and how sure."""
        templates, limit = self._among(largest), NUMBER if largest else COMMAND
        compared = Comparison(templates, heard, noise, margin, before)
        distances = compared.distances
        place = int(distances.argmin())
        second = int(np.where(templates.words == templates.words[place], np.inf, distances).argmin())
        first, far, farther = str(templates.words[place]), float(distances[place]), float(distances[second])
        if first not in self._spelled or np.isinf(far):
            return None
        unlike, shown = compared.unlike(place), min(1, compared.glimpsed(place) / ENOUGH)
        share = far * (far / min(farther, FAR)) ** 2 * unlike / self._leniency / limit
        if share >= shown or farther * compared.unlike(second) < far * unlike or compared.outdone(place) < 1:
            return None
        return self._spelled[first], 1 - share / shown / 2

    def _among(self, largest: int) -> Templates:
        """Every command, for each tells the others apart; the numbers listened for; and decoys where these are few.

        Those left out are among them, so that they are not taken for others.
        """
        if largest not in self._templates:
            examples = (*self._taught.examples, *self._taught.rivals)
            wanted = [one for one in examples if not one.word.isdecimal() or 0 < largest >= int(one.word)]
            wanted = wanted or list(examples)
            missing = COMPARED - len({one.word for one in wanted})
            self._templates[largest] = Templates([*wanted, *decoys(wanted, max(0, missing))])
        return self._templates[largest]

    def _lacks(self) -> Tell | None:
        """Which commands and numbers were not taught."""
        missing = [kind for kind in self.language.commands if kind not in self._spelled]
        words = ", ".join(spelling(kind, self.language) for kind in missing)
        numbers = runs(n for n in range(1, MOST_BY_VOICE + 1) if n not in self._numbers)
        if not (words or numbers.spans):
            return None
        both, either = "neither words nor numbers taught", "not taught" if words else "numbers not taught"
        key = both if words and numbers.spans else either
        return Tell(key, weaver=self._taught.weaver, words=words, numbers=numbers)


def _keep_memory() -> None:
    """Let the memory of one decision serve for the next; fetching fresh pages takes about as long as the computing.

    glibc keeps what is freed, up to twice as much as the largest block that ever was: mallopt(3).
    """
    np.empty(LARGEST_FREED, np.uint8)


def spelling(word: str, language: Language) -> str:
    """What the language calls a command's kind, or a number in digits."""
    return language.numbers[int(word)] if word.isdecimal() else language.commands[word][0]


def pieces(said: Frames, noise: NDArray[np.float32]) -> Iterator[Frames]:
    """The words in a row, each as mel energies of frames × BANDS with up to MARGIN frames on each side.

    `said`: the row as mel energies; `noise`: the energy of the room in each band. Nothing where nothing stands out.
    """
    loud = np.flatnonzero(np.clip(10 * np.log10(said / noise), 0, HIGHEST).mean(axis=1) > ABOVE_NOISE)
    if not len(loud):
        return
    cuts = np.flatnonzero(np.diff(loud) > PAUSE)
    starts, ends = [loud[0], *loud[cuts + 1]], [*loud[cuts] + 1, loud[-1] + 1]
    for start, end, before, after in zip(starts, ends, [0, *ends[:-1]], [*starts[1:], len(said)], strict=True):
        if end - start >= SHORTEST:
            first = max(start - MARGIN, (before + start) // 2 if before else 0)
            last = min(end + MARGIN, (end + after) // 2 if after < len(said) else after)
            yield said[first:last]

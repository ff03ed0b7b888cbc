"""What is believed that was not understood and said again: the same word, and anything else that may come before one.

Real people (--people FOLDER, as hearing.py has it) teach ten digits as commands, or five of them. Then each says the
ten in noise, digits that she did not teach, and others say theirs; a loom makes its noises (parts/no_words.py). Of all
that is not understood the share is told that is believed, in %, at several limits of likeness: where it is the word
that was said, once this is said again in quiet and accepted; where it is not, though the word that it is likeliest to
be is said next and accepted, which mostly it will not be.

    python tests/bench/believing.py --draws 1
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np
from parts import people
from parts.no_words import SOUNDS
from parts.options import asking, count
from parts.spoken import RATE, ROOM_DB, WEAVER_DB, Sound, at_level, silence, white

from assistant.senses.ear.believed import LIKE, Weighed, likeness
from assistant.senses.ear.clip import clip_of
from assistant.senses.ear.judging import Example
from assistant.senses.ear.likeness import Space
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.taught import Taught
from assistant.senses.ear.utterance import FRAME, FRAME_S, MARGIN, Utterance
from assistant.senses.ear.words import TrainedWords
from assistant.senses.sound import sixteen_bits
from assistant.words.language import load

LIMITS = (0.5, 0.6, 0.65, 0.7, LIKE, 0.8)
SNRS = (0, 5, 10)  # dB of white noise
EXAMPLES = (1, 3)
TRIED = 4  # of each word or noise
BEFORE_S = 1.0  # kept of what is to be heard before a word
WORDS, ENGLISH = TrainedWords("en"), load("en")
SPACE = Space(WORDS)

Found = Mapping[str, list[float]]  # how like what was said next, -1 where it is another word; by what it was


def main() -> None:
    parser = asking(__doc__)
    shared = Path(__file__).resolve().parents[3] / "shared" / "people"
    parser.add_argument("--people", type=Path, default=shared, metavar="FOLDER", help="(%(default)s)")
    parser.add_argument("--draws", type=count, default=2, help="of what is taught and tried (%(default)s)")
    options = parser.parse_args()
    speakers = people.read(options.people)
    if not speakers:
        parser.error(f"--people {options.people}: there are no recordings of digits; name a folder that has some")
    for examples in EXAMPLES:
        found: defaultdict[str, list[float]] = defaultdict(list)
        for draw in range(options.draws):
            for at, name in enumerate(speakers):
                chance = np.random.default_rng((draw, at))
                for told, like in Draw(speakers, name, examples, chance).measured():
                    found[told].append(like)
        show(examples, found)


def show(examples: int, found: Found) -> None:
    """A line for each kind of sound."""
    print(f"{examples} example{'s' if examples > 1 else ''}, believed in % where as like as")
    print(f"{'':34}{'tried':>6}" + "".join(f"{limit:7.2f}" for limit in LIMITS))
    for told, likes in found.items():
        shares = (100 * np.mean(np.array(likes) >= limit) for limit in LIMITS)
        print(f"{told:34}{len(likes):6}" + "".join(f"{share:7.1f}" for share in shares), flush=True)


class Draw:
    """One speaker teaches, says words again, and is laid beside what is none of hers."""

    def __init__(self, speakers: Mapping[str, people.Speaker], name: str, examples: int, chance: np.random.Generator):
        self._chance = chance
        self._hers = {word: self._drawn(sounds) for word, sounds in speakers[name].items()}
        others = [speaker for other, speaker in speakers.items() if other != name]
        self._others = [self._drawn(sounds)[0] for speaker in others for sounds in speaker.values()]
        self._examples = examples

    def measured(self) -> Iterator[tuple[str, float]]:
        """What was not understood, and how like it was to what was said next."""
        taught = self._taught(people.DIGITS)
        for snr in SNRS:
            for word, sounds in self._hers.items():
                for sound in sounds[-TRIED:]:
                    yield from self._again(f"a word in noise {snr} dB below", taught, word, sound, snr)
        for kind, make in SOUNDS.items():
            for _ in range(TRIED * 4):
                fainter = at_level(make(self._chance), WEAVER_DB - self._chance.uniform(0, 16))
                yield from self._before(f"not hers: {kind}", taught, fainter)
        for sound in self._others:
            yield from self._before("not hers: others say digits", taught, sound)
        known = [str(digit) for digit in self._chance.permutation(people.DIGITS)[: people.OPEN]]
        taught = self._taught(known)
        for word in {*people.DIGITS} - {*known}:
            for sound in self._hers[word][-TRIED:]:
                yield from self._before("hers, and not taught", taught, sound)

    def _drawn(self, sounds: Sequence[Sound]) -> list[Sound]:
        return [sounds[place] for place in self._chance.permutation(len(sounds))]

    def _taught(self, words: Sequence[str]) -> "Ear":
        lesson = {people.COMMANDS[word]: self._hers[word][: self._examples] for word in words}
        clips = [(kind, clip_of(self._said(sound))) for kind, sounds in lesson.items() for sound in sounds]
        places = SPACE.of([clip for _, clip in clips])
        examples = (Example(*each, place) for each, place in zip(clips, places, strict=True))
        again = {people.COMMANDS[word]: [*map(self._said, self._hers[word][3:9])] for word in words}
        return Ear(NeuralEngine(ENGLISH, WORDS, Taught("", tuple(examples))), again)

    def _again(self, told: str, ear: "Ear", word: str, sound: Sound, snr: int) -> Iterator[tuple[str, float]]:
        unheard, kind = self._said(sound, snr), people.COMMANDS[word]
        if not ear.understood(unheard) and (accepted := ear.accepted(kind)):
            weighed = ear.weigh(unheard)
            yield told, likeness(weighed, accepted) if weighed.word == kind else -1.0

    def _before(self, told: str, ear: "Ear", sound: Sound) -> Iterator[tuple[str, float]]:
        unheard = self._said(sound)
        if not ear.understood(unheard):
            weighed = ear.weigh(unheard)
            if accepted := ear.accepted(weighed.word):
                yield told, likeness(weighed, accepted)

    def _said(self, sound: Sound, snr: int | None = None) -> Utterance:
        """As a finder has it, its ends a little off."""
        margin = silence(MARGIN * FRAME_S)
        off = self._chance.integers(-4, 5, 2) * FRAME
        whole = np.concatenate([silence(BEFORE_S), margin, sound, margin, margin])
        noise = ROOM_DB if snr is None else WEAVER_DB - snr
        samples = sixteen_bits(whole + white(len(whole), noise, int(self._chance.integers(2**31))))
        start, end = round(BEFORE_S * RATE) + len(margin) + off[0], len(whole) - 2 * len(margin) + off[1]
        return Utterance(samples[: end + len(margin)], start / RATE, end / RATE, len(samples) / RATE)


class Ear:
    """An engine that was taught, and what is said to it again in quiet."""

    def __init__(self, engine: NeuralEngine, again: Mapping[str, Sequence[Utterance]]):
        self._engine = engine
        self._accepted = {
            word: next((weighed for each in said if (weighed := self._heard(each, word))), None)
            for word, said in again.items()
        }

    def understood(self, said: Utterance) -> bool:
        return self._engine.recognise([said], 0)[0] is not None

    def weigh(self, said: Utterance) -> Weighed:
        return self._engine.weigh(said, 0)

    def accepted(self, word: str) -> Weighed | None:
        """The word as it was understood once."""
        return self._accepted.get(word)

    def _heard(self, said: Utterance, word: str) -> Weighed | None:
        weighed = self.weigh(said)
        return weighed if self.understood(said) and weighed.word == word else None


if __name__ == "__main__":
    main()

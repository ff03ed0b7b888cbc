"""The ear: a network trained on many voices tells which word a clip holds, or that it holds none.

What a weaver taught is compared with her own examples, in any language; all the rest is heard as anyone's.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise
from math import exp, inf, log
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.senses.ear.believed import Weighed
from assistant.senses.ear.clip import clip, clip_of
from assistant.senses.ear.embedding import Mel, features
from assistant.senses.ear.engine import MOST_BY_VOICE, MOST_IN_ROW, TIMES, meanings, name
from assistant.senses.ear.features import mel_energies
from assistant.senses.ear.likeness import CLEAR, Likeness, Space, standing, sure
from assistant.senses.ear.row import dips, noise_around, spans
from assistant.senses.ear.taught import Taught, amid_noises
from assistant.senses.ear.utterance import FRAME, WORD, Utterance, frames
from assistant.senses.sound import EAR_RATE
from assistant.session.events import Kind
from assistant.words.language import Language

ENOUGH = 0.82  # how likely the words that mean one thing have to be, together
LESS = 0.6 / ENOUGH  # of that is enough for a number that was surely said alone, where doubt is larger than it need be:
MANY = 20  # in a language learnt from machines alone, and where it is shared out over numbers larger than this
IN_ROW = 0.75  # of that is enough for a number in a row, where words run into each other and no command is at stake
UNEXPECTED = 2.0  # by which the score of a word that is not listened for counts less; it stays a rival
ASKED = 2.0  # by which that of a word listened for counts more where a number was asked for: it is the answer, or none
NATURALLY = "en"  # the language learnt from voices that sound like people's, too: of less doubt, and more mistaken
NO_WORD = ""  # the name of everything else
LONG, SHORT = 2.5, 20  # the power of a length, and the frames that a scrap counts for; by trials with four voices
UNLIKELIEST = 1e-9  # that a word in a row is taken for
TALK, DOUBT = (
    -9.0,
    0.5,
)  # dB from which a voice before a word makes it doubtful; by as much a dB its odds fall, as logarithm
FARTHEST = 500.0  # from even odds
SOFT_ENDS = (0, frames(0.03), frames(0.06))  # at which a command over paper may end: all there can be taken back
LONGEST_TOLD = frames(3.5)  # of how often something stands
MOST_BEGUN = 2  # places where the word before the number may end
HALF_SURE = 0.5  # is enough for a number where what stands around it is sure
BEGINNINGS = [round(earlier * EAR_RATE) for earlier in (0.03, 0, -0.03)]  # samples before where a word was found to

Span = tuple[int, int]  # the first frame, and the first after it
Scores = NDArray[np.float32]
Found = tuple[str, float]  # a word, and how likely what it means is
NOTHING_FOUND = NO_WORD, 0.0


class Words(Protocol):
    """Tells words apart by the features of clips."""

    strangers: NDArray[np.float32]  # words × numbers: vectors of words by many people

    @property
    def names(self) -> Sequence[str]:
        """Of the columns of scores: words as the language spells them, and NO_WORD."""

    def scores(self, features: NDArray[np.float32]) -> tuple[NDArray[np.float32], Scores]:
        """Of clips × hops × FEATURES: a vector of each, clips × any; how well each name fits, clips × names.

        One score higher by 1 than another is e times as likely.
        """


class NeuralEngine:
    """Takes a word that is like what was taught, or where all that means the same is likely enough, whoever says it."""

    keen = True

    def __init__(self, language: Language, words: Words, taught: Taught | None = None):
        self.language = language
        self.enough = ENOUGH  # may be changed at any time
        self.space = Space(words)  # where the examples lie
        self._words, self._apart = words, language.only_over_paper
        self.taught = taught
        self._hers = _Hers(language, taught, self.space) if taught else None
        self.recognise([Utterance(np.zeros(EAR_RATE, np.int16), 0, 0.5, 0.7)], 0)  # so that all is read before a word

    def recognise(self, said: Sequence[Utterance], largest: int) -> Sequence[Found | None]:
        """By the mean over a few beginnings: where a word begins is found only about, and a guess may hang on it."""
        clips = [clip_of(each, earlier) for each in said for earlier in BEGINNINGS]
        wanted = meanings(self.language, largest)
        found = self._likeliest_of(clips, wanted, ASKED if largest else 0.0, len(BEGINNINGS))
        weighed = [(word, after_talk(sure, each.talk)) for (word, sure), each in zip(found, said, strict=True)]
        needed = (self._needed(word, largest, each.guess) for (word, _), each in zip(weighed, said, strict=True))
        return [one if one[1] >= enough else None for one, enough in zip(weighed, needed, strict=True)]

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        """The likeliest numbers that one after the other fill all that was said; or the one command that does.

        Over paper also how often something stands, where that is likelier.
        """
        said = mel_energies(samples)
        samples = samples[: len(said) * FRAME]
        runs = [*spans(said, noise_around(said))]
        if not 0 < len(runs) <= MOST_IN_ROW:
            return None
        whole = runs[0][0], runs[-1][1]
        commands = meanings(self.language, 0)
        if whole[1] - whole[0] <= WORD.longest:
            alone = {word: meant for word, meant in commands.items() if meant[0] != TIMES}
            over_paper = len(alone) < len(commands)
            ends = [whole[1] + more for more in (SOFT_ENDS if over_paper else (0,))]
            clips = [clip(samples, whole[0] * FRAME, end * FRAME) for end in ends]
            ((command, sure),) = self._likeliest_of(clips, alone, 0.0, len(clips))
            if sure >= self.enough * (IN_ROW if over_paper else 1):
                return [command], sure
        cuts = [[start, *dips(said[start:end], start), end] for start, end in runs]
        until = [*(start for start, _ in runs[1:]), len(said)]
        numbers = _up_to(largest, self.language)
        row = [
            found
            for run, last in zip(cuts, until, strict=True)
            for found in self._filling(run, samples[: last * FRAME], numbers)
        ]
        least = min(sure for _, sure in row)
        told = self._so_often(cuts, samples)
        if told and told[1] > least:
            return told
        return ([word for word, _ in row], least) if least >= IN_ROW * self.enough and len(row) <= MOST_IN_ROW else None

    def _so_often(self, cuts: Sequence[Sequence[int]], samples: NDArray[np.int16]) -> tuple[list[str], float] | None:
        """How often something stands: "that again, three times", of which the beginning or the end may be left out."""
        commands = meanings(self.language, 0)
        times = {word: None for word, (kind, _) in commands.items() if kind == TIMES}
        starts = [cut for run in cuts for cut in run[:-1]]
        ends = [cut for run in cuts for cut in run[1:]]
        if not times or ends[-1] - starts[0] > LONGEST_TOLD:
            return None
        numbers = _up_to(MOST_BY_VOICE, self.language)
        again = {word for word, (kind, _) in commands.items() if kind == Kind.REPEAT}
        begun = [
            (sure, next(start for start in starts if start >= end), [word])
            for (_, end), (word, sure) in self._each([(starts[0], end) for end in ends[:-1]], samples, commands)
            if word in again and sure >= IN_ROW * self.enough
        ]
        said_last = [(start, ends[-1] + more) for start in starts[1:] for more in SOFT_ENDS]
        by_sureness = sorted(self._each(said_last, samples, times, ASKED), key=lambda each: each[1][1])
        behind = {start: each for (start, _), each in by_sureness if each[1] >= IN_ROW * self.enough}
        found = [(0.0, 0.0, list[str]())]
        for least, first, words in sorted(begun)[-MOST_BEGUN:] or [(1.0, starts[0], [])]:
            spoken = [(first, end) for end in ends if end > first]
            counted = {end: each for (_, end), each in self._each(spoken, samples, numbers, ASKED)}
            if begun and (alone := counted.get(ends[-1], NOTHING_FOUND))[1] >= HALF_SURE:
                found.append((least * alone[1] * HALF_SURE, least, [*words, alone[0]]))
            for start, (word, last) in behind.items():
                number, fits = counted.get(max(end for end in ends if end <= start), NOTHING_FOUND)
                if fits >= HALF_SURE:
                    found.append((least * fits * last, min(least, last), [*words, number, word]))
        _, surely, told = max(found)
        return (told, surely) if told else None

    def _each(
        self, spoken: Sequence[Span], samples: NDArray[np.int16], wanted: Mapping[str, object], more: float = 0.0
    ) -> list[tuple[Span, Found]]:
        """Each of these parts that is no longer than a word, with what it is likeliest to be."""
        short = [(start, end) for start, end in spoken if end - start <= WORD.longest]
        return [*zip(short, self._likeliest(samples, short, wanted, more), strict=True)] if short else []

    def weigh(self, said: Utterance, largest: int) -> Weighed:
        """What is likeliest of what was said on its own, where such numbers are listened for, however little it is."""
        sound, wanted = clip_of(said), meanings(self.language, largest)
        ((word, _),) = self._likeliest_of([sound], wanted, ASKED if largest else 0.0)
        return Weighed(sound, self.space.of([sound])[0], name(*wanted.get(word, (None, None))))

    def numbers(self, said: Utterance) -> dict[int, float]:
        """How likely each number is where one is asked for, whoever says it."""
        wanted = meanings(self.language, MOST_BY_VOICE)
        _, fitting = self._words.scores(features(np.stack([clip_of(said, earlier) for earlier in BEGINNINGS])))
        share = self._shares(fitting.mean(axis=0) + self._weights(wanted, ASKED))
        return {number: share[word] for number, word in enumerate(self.language.numbers)}

    def _needed(self, word: str, largest: int, guess: bool) -> float:
        """How likely it has to be; less for a number, surely alone, of which the network doubts more than it need."""
        anyones = word in self.language.numbers and not (self._hers and word in self._hers.words)
        doubtful = self.language.code != NATURALLY or largest > MANY
        return self.enough * (LESS if anyones and doubtful and not guess else 1)

    def learn(self, taught: Taught) -> None:
        """Hear by these examples from now on; from any thread."""
        self._hers = _Hers(self.language, taught, self.space)

    def _filling(self, cuts: Sequence[int], sound: NDArray[np.int16], wanted: Mapping[str, object]) -> list[Found]:
        """The words likeliest to fill a run without pauses, in which one may begin or end at each of `cuts`.

        Doubt weighs by the power LONG of a word's length, or two words that sound a little like one would pass for it.
        """
        adjacent = {*pairwise(cuts)}
        words = [word for word in combinations(cuts, 2) if word in adjacent or word[1] - word[0] <= WORD.longest]
        found = dict(zip(words, self._likeliest(sound, words, wanted, ASKED), strict=True))
        doubts = {
            (start, end): max(SHORT, end - start) ** LONG * -log(max(sure, UNLIKELIEST))
            for (start, end), (_, sure) in found.items()
        }
        rows: dict[int, list[Span]] = {cuts[0]: []}
        for end in cuts[1:]:
            reaching = [[*rows[start], (start, end)] for start in cuts if (start, end) in found]
            rows[end] = min(reaching, key=lambda row: sum(doubts[word] for word in row))
        return [found[word] for word in rows[cuts[-1]]]

    def _likeliest(
        self, sound: NDArray[np.int16], spoken: Sequence[Span], wanted: Mapping[str, object], more: float = 0.0
    ) -> Iterator[Found]:
        """For each part of a sound the likeliest of the words listened for; `wanted`: each with what it means.

        What is spoken after a part is no part of it. `more`: by which the scores of words listened for count more.
        """
        until = [
            min((start for start, _ in spoken if start >= end), default=len(sound) // FRAME + 1) for _, end in spoken
        ]
        clips = [
            clip(sound[: last * FRAME], start * FRAME, end * FRAME)
            for (start, end), last in zip(spoken, until, strict=True)
        ]
        yield from self._likeliest_of(clips, wanted, more)

    def _likeliest_of(
        self, clips: Sequence[Mel], wanted: Mapping[str, object], more: float, times: int = 1
    ) -> Iterator[Found]:
        """The same for each `times` clips of one word."""
        weights = self._weights(wanted, more)
        of_clips = self._words.scores(features(np.stack(clips)))
        vectors, fitting = (each.reshape(len(clips) // times, times, -1).mean(axis=1) for each in of_clips)
        anyones = (self._anyones(scores + weights, wanted) for scores in fitting)
        if not self._hers:
            yield from anyones
            return
        noisy = np.array([standing(clip) < CLEAR for clip in clips[::times]])
        for hers, anyone in zip(self._hers.found(vectors, noisy), anyones, strict=True):
            if hers[1] < anyone[1]:
                yield anyone
            else:
                yield hers if hers[0] in wanted else (NO_WORD, 0.0)

    def _anyones(self, scores: Scores, wanted: Mapping[str, object]) -> Found:
        """The likeliest of the words listened for, whoever said it."""
        share = self._shares(scores)
        word = max((name for name in share if name in wanted), key=share.__getitem__, default=NO_WORD)
        alike = [name for name in share if name in wanted and wanted[name] == wanted[word]]
        return word, sum(share[name] for name in alike)

    def _weights(self, wanted: Mapping[str, object], more: float) -> list[float]:
        """By how much the score of each word counts more; one that means nothing here is no rival of those that do."""
        return [
            more if name in wanted else 0.0 if name == NO_WORD else -inf if name in self._apart else -UNEXPECTED
            for name in self._words.names
        ]

    def _shares(self, scores: Scores) -> dict[str, float]:
        """How likely each word is; 1 together."""
        shares = np.exp(scores - scores.max())
        return dict(zip(self._words.names, (shares / shares.sum()).tolist(), strict=True))


class _Hers:
    """The words that a weaver taught."""

    def __init__(self, language: Language, taught: Taught, space: Space):
        self._space = space
        examples = taught.examples
        words = [one.word for one in examples]
        self._like = Likeness(words, np.stack([one.place for one in examples]))
        self._amid = [Likeness(words, places) for places in amid_noises(examples, space)]
        self.words = [spelling(word, language) for word in self._like.words]

    def found(self, vectors: NDArray[np.float32], noisy: NDArray[np.bool_]) -> Iterator[Found]:
        """Of each vector the word taught that it is most like, as the language spells it, and how sure.

        `noisy`: which of them stand out of the room by little, and are laid beside the examples amid noises, too.
        """
        places = self._space.places(vectors)
        likenesses = self._like.of(places)
        if noisy.any():
            likeliest = np.max([likenesses, *(each.of(places) for each in self._amid)], axis=0)
            likenesses = np.where(noisy[:, None], likeliest, likenesses)
        for like in likenesses:
            best = int(like.argmax())
            yield self.words[best], sure(float(like[best]), ENOUGH)


def after_talk(sure: float, talk: float) -> float:
    """How likely a word is that was `sure` by itself, where a voice just before it was louder by `talk` dB.

    Who was talking goes on talking, and means nobody here.
    """
    odds = log(max(sure, UNLIKELIEST) / max(1 - sure, UNLIKELIEST)) - DOUBT * max(0.0, talk - TALK)
    return 1 / (1 + exp(min(-odds, FARTHEST)))


def spelling(word: str, language: Language) -> str:
    """What the language calls a command's kind, or a number in digits."""
    return language.numbers[int(word)] if word.isdecimal() else language.over_paper.commands[word][0]


def _up_to(largest: int, language: Language) -> dict[str, int]:
    """The words of numbers from 1 on."""
    return {word: number for word, (_, number) in meanings(language, largest).items() if number}

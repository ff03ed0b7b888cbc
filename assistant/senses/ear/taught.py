"""What a weaver taught: which examples are of use, and how they are kept in the user's data folder.

How words sound is kept, never the sound itself.
"""

import math
import struct
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from tokenize import TokenError
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant import folders
from assistant.alone import Alone, Taken, this_window
from assistant.errors import TaughtError, refusal
from assistant.files import read_whole, write_whole
from assistant.meaning import Tell
from assistant.senses.ear.comparing import Comparison, noise_around
from assistant.senses.ear.features import BANDS, FAINTEST, Example, Templates
from assistant.senses.ear.utterance import MARGIN

FEWEST = 2  # examples of a word
APART = 0.85  # part of the distance to another word within which an example has to be of its own
UNLIKE = 2.2  # times the usual distance within a word at which an example does not agree with the others
SAME = 1.05  # times the usual distance within a word, up to which a word left out is the same as another
CLOSE = 0.75  # part of the distance to another word from which on the two are close to each other
LAYOUT, READ = 2, (1, 2)  # of the file, as it is written; those that are read: the first knew no rivals
LONGEST_NAME = 60
MOST_BYTES, MOST_UNPACKED = 8_000_000, 16_000_000  # of the file: a thousand examples take the half of it
RENAMED = {"done": "finished"}  # commands that older files and recordings name otherwise
UNREADABLE = (  # what a damaged file may lead to
    OSError,
    ValueError,
    KeyError,
    TypeError,
    EOFError,
    RuntimeError,
    SyntaxError,
    TokenError,
    struct.error,
    zlib.error,
    zipfile.BadZipFile,
)


@dataclass(frozen=True, slots=True)
class ExampleFault:
    """What is wrong with an example."""

    word: str  # for which it stands
    like: str = ""  # the other word that it sounds like
    alone: bool = False  # there is no other good example

    def tell(self) -> Tell:
        """For the weaver to read, by the phrases of a lesson."""
        if self.alone:
            return Tell("example alone", word=self.word, fewest=FEWEST)
        if self.like:
            return Tell("example like", other=self.like)
        return Tell("example unlike", word=self.word)


@dataclass(frozen=True, slots=True)
class Judged:
    """What examples are worth."""

    good: tuple[int, ...]  # their places
    faults: dict[int, ExampleFault]  # what is wrong with each of the others, by its place
    close: tuple[tuple[str, str], ...]  # pairs of words that may be taken for one another now and then
    usual: float  # the distance within a word


def judge(examples: Sequence[Example], settled: int = 0) -> Judged:
    """Leave out the worst example, and judge anew, until none is at fault; the first `settled` are not in question.

    Takes at least one example; the work grows with the square of their number.
    """
    table = _table(examples)
    words = np.array([example.word for example in examples])
    left, faults = list(range(len(examples))), {}
    while left and (found := _worst(table, words, left, settled)):
        worst, why = found
        faults[worst] = why
        left.remove(worst)
    nearest = [_nearest(table, words, left, place) for place in left]
    close = _close([str(words[place]) for place in left], nearest)
    return Judged(tuple(left), faults, close, _usual(nearest))


def told_apart(left_out: Sequence[Example], good: Sequence[Example], usual: float) -> list[Example]:
    """Those of words that are left out but differ from the good ones.

    One that is the same, said for two commands, would only keep the other from being heard.
    """
    if not (left_out and good):
        return []
    templates = Templates(good)
    far = [float(_from(one, templates).min()) for one in left_out]
    words = np.array([one.word for one in left_out])
    return [one for one in left_out if np.median(np.array(far)[words == one.word]) > SAME * usual]


def _table(examples: Sequence[Example]) -> NDArray[np.float32]:
    """How far each example is from each."""
    templates = Templates(examples)
    table = np.array([_from(one, templates) for one in examples], np.float32)
    np.fill_diagonal(table, np.inf)
    return table


def _from(example: Example, templates: Templates) -> NDArray[np.float32]:
    """How far it is from each."""
    return Comparison(templates, example.energies, noise_around(example.energies), MARGIN, leeway=0).distances


def _usual(nearest: Iterable[tuple[float, float, str]]) -> float:
    """How far an example is from its own word."""
    return float(np.median([own for own, _, _ in nearest] or [np.inf]))


def _nearest(
    table: NDArray[np.float32], words: NDArray[np.str_], left: list[int], place: int
) -> tuple[float, float, str]:
    """How far an example is from its own word and from the nearest other; and which that is."""
    far, others = table[place, left], words[left]
    own = others == words[place]
    if own.all():
        return float(far[own].min()), np.inf, ""
    other = np.flatnonzero(~own)[far[~own].argmin()]
    return float(far[own].min()), float(far[other]), str(others[other])


def _close(words: list[str], nearest: list[tuple[float, float, str]]) -> tuple[tuple[str, str], ...]:
    """The pairs of words of which an example is nearly as near to the other as to its own."""
    pairs = {
        (min(word, name), max(word, name))
        for word, (own, other, name) in zip(words, nearest, strict=True)
        if own > CLOSE * other
    }
    return tuple(sorted(pairs))


def _worst(
    table: NDArray[np.float32], words: NDArray[np.str_], left: list[int], settled: int
) -> tuple[int, ExampleFault] | None:
    """The example most at fault, and why."""
    nearest = {place: _nearest(table, words, left, place) for place in left}
    usual = _usual(nearest.values())
    faults: list[tuple[float, int, ExampleFault]] = []
    for place in (place for place in left if place >= settled):
        own, other, name = nearest[place]
        word = str(words[place])
        if (words[left] == word).sum() < FEWEST:
            faults.append((np.inf, place, ExampleFault(word, alone=True)))
        elif own > APART * other:
            faults.append((own / other, place, ExampleFault(word, name)))
        elif own > UNLIKE * usual:
            faults.append((own / usual / 1000, place, ExampleFault(word)))
    if not faults:
        return None
    _, place, why = max(faults, key=lambda fault: fault[:2])
    return place, why


@dataclass(frozen=True, slots=True)
class Taught:
    """A weaver's examples; and, to be told apart, those of words left out, which may be said all the same."""

    weaver: str
    examples: tuple[Example, ...]
    rivals: tuple[Example, ...] = ()

    @classmethod
    def of(cls, weaver: str, examples: Sequence[Example], judged: Judged, rivals: Sequence[Example] = ()) -> "Taught":
        """What is good of these; rivals are words of which nothing is good, and others, if they can be told apart."""
        good = tuple(examples[place] for place in judged.good)
        words = {example.word for example in good}
        left_out = [example for example in (*examples, *rivals) if example.word not in words]
        return cls(weaver, good, tuple(told_apart(left_out, good, judged.usual)))

    def words(self) -> list[str]:
        """Each word once, in the order of teaching."""
        return list(dict.fromkeys(example.word for example in self.examples))


def kept_in(weaver: str) -> Path:
    """A weaver's file. Raises TaughtError for a name that cannot be one of a file."""
    plain = weaver.replace(" ", "").replace("-", "").replace("_", "")
    if not plain.isalnum() or weaver != weaver.strip() or len(weaver) > LONGEST_NAME:
        raise TaughtError(
            "{weaver!r} cannot be a weaver's name here; use letters, digits, hyphens and single spaces between",
            weaver=weaver,
        )
    return folders.data() / "weavers" / f"{weaver}.npz"


@contextmanager
def alone_with(weaver: str) -> Iterator[None]:
    """No other window teaches this weaver meanwhile, so that none of her words is lost to another lesson.

    Raises TaughtError where one does, or where nothing could be kept.
    """
    file = kept_in(weaver)
    try:
        folders.own(file.parent)
        held = Alone(file.with_suffix(".lock"), this_window())
        held.take()
    except Taken as error:
        raise TaughtError(
            "another window is teaching {weaver} ({window}); finish there first"
            if error.window
            else "another window is teaching {weaver}; finish there first",
            weaver=weaver,
            window=error.window,
        ) from error
    except OSError as error:
        raise TaughtError(
            "what {weaver} taught cannot be kept in {file}: {why}", weaver=weaver, file=file, why=refusal(error)
        ) from error
    try:
        yield
    finally:
        held.give_back()


def keep(taught: Taught) -> Path:
    """Keep it instead of what this weaver taught before; whoever reads meanwhile finds one or the other, whole.

    Raises TaughtError where it cannot be written; what was taught before stays then.
    """
    file = kept_in(taught.weaver)
    examples = [*taught.examples, *taught.rivals]
    energies = [example.energies for example in examples]
    content = BytesIO()
    np.savez_compressed(
        content,
        layout=LAYOUT,
        rivals=len(taught.rivals),  # the last ones
        words=np.array([example.word for example in examples]),
        lengths=np.array([len(each) for each in energies]),
        decibels=np.float16(10 * np.log10(np.concatenate(energies))),
    )
    try:
        folders.own(file.parent)
        write_whole(file, content.getvalue(), private=True)
    except OSError as error:
        raise TaughtError(
            "what {weaver} taught cannot be kept in {file}: {why}",
            weaver=taught.weaver,
            file=file,
            why=refusal(error),
        ) from error
    return file


def load_taught(weaver: str) -> Taught:
    """What a weaver taught. Raises TaughtError where there is nothing, or a file that cannot be used."""
    file = kept_in(weaver)
    command = f"heddlecall teach --weaver {weaver!r}"
    try:
        entries = _arrays(read_whole(file, MOST_BYTES))
        layout, words = int(entries["layout"]), entries["words"]
        lengths, decibels = entries["lengths"], entries["decibels"]
        rivals = int(entries["rivals"]) if "rivals" in entries else 0
        if layout not in READ:
            raise TaughtError(
                "{file} was written by another version of the program; teach again with: {command}",
                file=file,
                command=command,
            )
        if not (_whole(words, lengths, decibels) and 0 <= rivals < len(words)):
            raise ValueError(file)
        energies = np.maximum(10 ** (decibels.astype(np.float32) / 10), np.float32(FAINTEST))
        each = np.split(energies, np.cumsum(lengths)[:-1])
    except FileNotFoundError:
        raise TaughtError(
            "{weaver} has taught nothing yet; teach with: {command}", weaver=weaver, command=command
        ) from None
    except UNREADABLE as error:
        raise TaughtError("{file} is damaged; teach again with: {command}", file=file, command=command) from error
    examples = tuple(Example(RENAMED.get(word, word), sound) for word, sound in zip(map(str, words), each, strict=True))
    good = len(examples) - rivals
    return Taught(weaver, examples[:good], examples[good:])


def forget(weaver: str) -> Path:
    """Delete what a weaver taught, and say which file it was. Raises TaughtError where there is none, or it stays."""
    file = kept_in(weaver)
    try:
        file.unlink()
    except FileNotFoundError:
        raise TaughtError("{weaver} has taught nothing; there is nothing to forget", weaver=weaver) from None
    except OSError as error:
        raise TaughtError("{file} cannot be deleted: {why}", file=file, why=refusal(error)) from error
    return file


def _arrays(content: bytes) -> dict[str, NDArray[Any]]:
    """The arrays of an .npz file by their names, none of them larger than what is there of it.

    Raises what is UNREADABLE; nothing is made of what a header claims alone.
    """
    found: dict[str, NDArray[Any]] = {}
    with zipfile.ZipFile(BytesIO(content)) as packed:
        if sum(member.file_size for member in packed.infolist()) > MOST_UNPACKED:
            raise ValueError
        for member in packed.infolist():
            array = BytesIO(packed.read(member))
            if np.lib.format.read_magic(array) != (1, 0):
                raise ValueError
            shape, _, kind = np.lib.format.read_array_header_1_0(array)
            if kind.hasobject or math.prod(shape) * kind.itemsize != len(array.getbuffer()) - array.tell():
                raise ValueError
            array.seek(0)
            found[member.filename.removesuffix(".npy")] = np.lib.format.read_array(array, allow_pickle=False)
    return found


def _whole(words: NDArray[Any], lengths: NDArray[Any], decibels: NDArray[Any]) -> bool:
    """Whether the parts of a file fit together."""
    return bool(
        words.ndim == lengths.ndim == 1
        and words.dtype.kind == "U"
        and lengths.dtype.kind == "i"
        and len(words) == len(lengths) > 0
        and (lengths > 2 * MARGIN).all()
        and (lengths <= len(decibels)).all()
        and decibels.dtype.kind == "f"
        and decibels.shape == (lengths.sum(), BANDS)
        and np.isfinite(decibels.astype(np.float32)).all()
    )

"""What a weaver taught, kept in the user's data folder: how words sound, never the sound itself."""

import os
import struct
import zipfile
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant import folders
from assistant.errors import TaughtError
from assistant.senses.ear.segmenter import MARGIN
from assistant.senses.ear.taught.features import BANDS, FAINTEST
from assistant.senses.ear.taught.judging import Judged, told_apart
from assistant.senses.ear.taught.templates import Example

LAYOUT, READ = 2, (1, 2)  # of the file, as it is written; those that are read: the first knew no rivals
LONGEST_NAME = 60
UNREADABLE = (  # what a damaged file may lead to
    OSError,
    ValueError,
    KeyError,
    TypeError,
    EOFError,
    RuntimeError,
    struct.error,
    zlib.error,
    zipfile.BadZipFile,
)


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
            f"{weaver!r} cannot be a weaver's name here; use letters, digits, hyphens and single spaces between"
        )
    return folders.data() / "weavers" / f"{weaver}.npz"


def keep(taught: Taught) -> Path:
    """Keep it instead of what this weaver taught before; whoever reads meanwhile finds one or the other, whole."""
    file = kept_in(taught.weaver)
    new = file.with_suffix(".new")
    examples = [*taught.examples, *taught.rivals]
    energies = [example.energies for example in examples]
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with new.open("wb") as opened:
            np.savez_compressed(
                opened,
                layout=LAYOUT,
                rivals=len(taught.rivals),  # the last ones
                words=np.array([example.word for example in examples]),
                lengths=np.array([len(each) for each in energies]),
                decibels=np.float16(10 * np.log10(np.concatenate(energies))),
            )
            opened.flush()
            os.fsync(opened.fileno())
        os.replace(new, file)
    except OSError as error:
        raise TaughtError(f"what {taught.weaver} taught cannot be kept in {file}: {error.strerror}") from error
    return file


def load(weaver: str) -> Taught:
    """What a weaver taught. Raises TaughtError where there is nothing, or a file that cannot be used."""
    file = kept_in(weaver)
    how = f"heddlecall teach --weaver {weaver!r}"
    again = f"teach again with: {how}"
    try:
        with zipfile.ZipFile(file) as whole:
            if whole.testzip():
                raise ValueError(file)
        with np.load(file, allow_pickle=False) as entries:
            layout, words = int(entries["layout"]), entries["words"]
            lengths, decibels = entries["lengths"], entries["decibels"]
            rivals = int(entries["rivals"]) if "rivals" in entries else 0
        if layout not in READ:
            raise TaughtError(f"{file} was written by another version of the program; {again}")
        if not (_whole(words, lengths, decibels) and 0 <= rivals < len(words)):
            raise ValueError(file)
        energies = np.maximum(10 ** (decibels.astype(np.float32) / 10), np.float32(FAINTEST))
        each = np.split(energies, np.cumsum(lengths)[:-1])
    except FileNotFoundError:
        raise TaughtError(f"{weaver} has taught nothing yet; teach with: {how}") from None
    except UNREADABLE as error:
        raise TaughtError(f"{file} is damaged; {again}") from error
    examples = tuple(map(Example, map(str, words), each))
    good = len(examples) - rivals
    return Taught(weaver, examples[:good], examples[good:])


def forget(weaver: str) -> Path:
    """Delete what a weaver taught."""
    file = kept_in(weaver)
    try:
        file.unlink()
    except FileNotFoundError:
        raise TaughtError(f"{weaver} has taught nothing; there is nothing to forget") from None
    except OSError as error:
        raise TaughtError(f"{file} cannot be deleted: {error.strerror}") from error
    return file


def _whole(words: NDArray[Any], lengths: NDArray[Any], decibels: NDArray[Any]) -> bool:
    """Whether the parts of a file fit together."""
    return bool(
        words.ndim == lengths.ndim == 1
        and words.dtype.kind == "U"
        and lengths.dtype.kind == "i"
        and len(words) == len(lengths) > 0
        and (lengths > 2 * MARGIN).all()
        and decibels.shape == (lengths.sum(), BANDS)
        and np.isfinite(decibels.astype(np.float32)).all()
    )

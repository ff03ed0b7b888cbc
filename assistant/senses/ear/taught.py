"""What a weaver taught, and how it is kept in the user's data folder.

How words sound is kept, never the sound itself.
"""

import math
import struct
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from tokenize import TokenError
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from assistant import folders
from assistant.alone import Alone, Taken, this_window
from assistant.errors import TaughtError, refusal
from assistant.files import read_whole, write_whole
from assistant.senses.ear import earlier
from assistant.senses.ear.believed import beside
from assistant.senses.ear.clip import FRAMES
from assistant.senses.ear.embedding import BANDS, Mel
from assistant.senses.ear.features import BANDS as EARLIER_BANDS
from assistant.senses.ear.judging import Example
from assistant.senses.ear.likeness import AMID, Places, Space

LAYOUT, EARLIER = 3, (1, 2)  # of the file, as it is written; those that kept other energies, which are read as well
LONGEST_NAME = 60
PORTS = "123456789\xb9\xb2\xb3"
DEVICES = {"CON", "PRN", "AUX", "NUL", *(f"{kind}{port}" for kind in ("COM", "LPT") for port in PORTS)}  # to Windows
MOST_BYTES, MOST_UNPACKED = 16_000_000, 16_000_000  # of the file: a thousand examples take two thirds of it
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
class Taught:
    """A weaver's examples: of her lesson, and those she was believed."""

    weaver: str
    examples: tuple[Example, ...]

    def words(self) -> list[str]:
        """Each word once, in the order of teaching."""
        return list(dict.fromkeys(example.word for example in self.examples))

    def believing(self, example: Example) -> Self:
        """With one more that is believed."""
        return replace(self, examples=beside(self.examples, example))

    def lesson(self) -> Self:
        """Without those that were believed."""
        return replace(self, examples=tuple(each for each in self.examples if not each.believed))


def kept_in(weaver: str) -> Path:
    """A weaver's file. Raises TaughtError for a name that cannot be one of a file."""
    plain = weaver.replace(" ", "").replace("-", "").replace("_", "")
    if not plain.isalnum() or weaver != weaver.strip() or len(weaver) > LONGEST_NAME:
        raise TaughtError(
            "{weaver!r} cannot be a weaver's name here; use letters, digits, hyphens and single spaces between",
            weaver=weaver,
        )
    if weaver.upper() in DEVICES:
        raise TaughtError("{weaver!r} is the name of a device in Windows; choose another name", weaver=weaver)
    return _folder() / f"{weaver}.npz"


def weavers() -> list[str]:
    """Those who taught, by the files that are kept."""
    return sorted(file.stem for file in _folder().glob("*.npz"))


def _folder() -> Path:
    return folders.data() / "weavers"


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


def keep(taught: Taught, space: Space) -> Path:
    """Keep it instead of what this weaver taught before; whoever reads meanwhile finds one or the other, whole.

    `space`: the one in which the examples lie. Raises TaughtError where it cannot be written; what was taught before
    stays then.
    """
    file = kept_in(taught.weaver)
    content = BytesIO()
    np.savez_compressed(
        content,
        layout=LAYOUT,
        words=np.array([example.word for example in taught.examples]),
        clips=np.stack([example.clip for example in taught.examples]).astype(np.float16),
        places=np.stack([example.place for example in taught.examples]).astype(np.float16),
        believed=np.array([example.believed for example in taught.examples]),
        amid=amid_noises(taught.examples, space).astype(np.float16),
        space=space.version,
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


def load_taught(weaver: str, space: Space) -> Taught:
    """What a weaver taught, where it lies now. Raises TaughtError where there is nothing, or what cannot be used."""
    file = kept_in(weaver)
    command = f"heddlecall teach --weaver {weaver!r}"
    try:
        entries = _arrays(read_whole(file, MOST_BYTES))
        layout = int(entries["layout"])
        if layout != LAYOUT and layout not in EARLIER:
            raise TaughtError(
                "{file} was written by another version of the program; teach again with: {command}",
                file=file,
                command=command,
            )
        words, clips = _said(entries, layout)
        places, believed = _places(entries, space, clips), _believed(entries, len(clips))
        amid = _amid(entries, space, clips)
    except FileNotFoundError:
        raise TaughtError(
            "{weaver} has taught nothing yet; teach with: {command}", weaver=weaver, command=command
        ) from None
    except UNREADABLE as error:
        raise TaughtError("{file} is damaged; teach again with: {command}", file=file, command=command) from error
    said = zip(map(str, words), clips, places, believed, amid, strict=True)
    return Taught(weaver, tuple(Example(RENAMED.get(word, word), *each) for word, *each in said))


def put(weaver: str, content: bytes) -> Path:
    """Keep a file of taught words for a weaver who has none. Raises OSError, also where she has."""
    file = kept_in(weaver)
    folders.own(file.parent)
    write_whole(file, content, private=True, fresh=True)
    return file


def is_taught(content: bytes) -> bool:
    """Whether that is a whole file of what a weaver taught, of a layout that is read here."""
    try:
        entries = _arrays(content)
        layout = int(entries["layout"])
        _said(entries, layout)
        return len(content) <= MOST_BYTES and layout in (LAYOUT, *EARLIER)
    except UNREADABLE:
        return False


def amid_noises(examples: Sequence[Example], space: Space) -> Places:
    """Where they lie amid each noise, noises × examples × numbers: as is known, or else computed."""
    return np.stack([space.amid(each.clip) if each.amid is None else each.amid for each in examples], axis=1)


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


def _said(entries: dict[str, NDArray[Any]], layout: int) -> tuple[NDArray[Any], list[Mel]]:
    """The words, and how each was said. Raises what is UNREADABLE where they are none."""
    clips = _clips(entries) if layout == LAYOUT else _earlier_clips(entries)
    words = entries["words"] if layout == LAYOUT else entries["words"][: len(clips)]
    if not (words.ndim == 1 and words.dtype.kind == "U" and len(words) == len(clips) > 0):
        raise ValueError
    return words, clips


def _clips(entries: dict[str, NDArray[Any]]) -> list[Mel]:
    """Raises ValueError where they are none."""
    clips = entries["clips"]
    if clips.dtype.kind != "f" or clips.shape[1:] != (FRAMES, BANDS) or not np.isfinite(clips).all():
        raise ValueError
    return [*clips.astype(np.float32)]


def _earlier_clips(entries: dict[str, NDArray[Any]]) -> list[Mel]:
    """Of the good examples; after them, there may be some of words that were left out. Raises ValueError."""
    lengths, decibels = entries["lengths"], entries["decibels"]
    rivals = int(entries["rivals"]) if "rivals" in entries else 0
    if not (
        lengths.ndim == 1
        and lengths.dtype.kind == "i"
        and len(lengths) == len(entries["words"])
        and 0 <= rivals < len(lengths)
        and (lengths > 2 * earlier.MARGIN).all()
        and (lengths <= len(decibels)).all()
        and decibels.dtype.kind == "f"
        and decibels.shape == (lengths.sum(), EARLIER_BANDS)
        and np.isfinite(decibels).all()
    ):
        raise ValueError
    each = np.split(decibels.astype(np.float32), np.cumsum(lengths)[:-1])
    return [earlier.clip_of(energies) for energies in each[: len(lengths) - rivals]]


def _places(entries: dict[str, NDArray[Any]], space: Space, clips: list[Mel]) -> Places:
    """Where they lie: as it was kept, where that was in this space."""
    if "space" in entries and int(entries["space"]) == space.version:
        return _lying(entries["places"], (len(clips), space.numbers))
    return space.of(clips)


def _amid(entries: dict[str, NDArray[Any]], space: Space, clips: list[Mel]) -> list[Places]:
    """Where each lies amid noises: as it was kept, where that was in this space and of as many. Raises ValueError."""
    if "amid" in entries and int(entries["space"]) == space.version and len(entries["amid"]) == len(AMID):
        return [*np.moveaxis(_lying(entries["amid"], (len(AMID), len(clips), space.numbers)), 1, 0)]
    return [space.amid(clip) for clip in clips]


def _lying(kept: NDArray[Any], shape: tuple[int, ...]) -> Places:
    """Places as they were kept. Raises ValueError where they are none of this shape."""
    places = kept.astype(np.float32)
    if places.shape != shape or not np.isfinite(places).all():
        raise ValueError
    return places


def _believed(entries: dict[str, NDArray[Any]], count: int) -> list[bool]:
    """Which of them are no part of a lesson, one of which there has to be; none in a file that does not tell."""
    believed = entries.get("believed", np.zeros(count, bool))
    if believed.shape != (count,) or believed.dtype.kind != "b" or believed.all():
        raise ValueError
    return [*map(bool, believed)]

"""Reads and writes WIF 1.1, the weaving information file of 1997 (from memory): what it says of the warp.

The file is made of [SECTION]s with lines key=value. [THREADING] has for every end its shaft, or shafts with commas;
[WARP COLORS], [WARP SPACING] and [WARP THICKNESS] may say something of single ends, and [WARP] of all others.
"""

from collections.abc import Callable, Iterator, Mapping
from math import isfinite
from pathlib import Path
from typing import Any, TextIO, TypeVar

from assistant.errors import DraftError
from assistant.meaning import Tell
from assistant.warp.draft.reading import Column, entries, read_text
from assistant.warp.draft.values import AS_IT_IS, AskedOf, Draft, hung_together, threaded
from assistant.warp.draft.yarns import Colour, Rgb, from_hex, palette, yarns_of
from assistant.warp.model import MOST_ENDS, End, Unit, Warp
from assistant.warp.notation import Shafts
from assistant.warp.source import MOST_CHARACTERS, MOST_MEASURE, one_line
from assistant.warp.spelling import shown

MOST_KEYS = 1_000  # sections, and keys of a section, that are kept
SETT_DIGITS = 6

_NAMED = ("CONTENTS", "TEXT", "WEAVING", "WARP", "COLOR PALETTE")  # the sections whose keys are names
_YES, _NO = ("true", "yes", "on", "1"), ("false", "no", "off", "0")
_UNITS: dict[str, tuple[float, Unit]] = {  # how much of an inch, or of 10 cm, and which
    "decipoints": (1 / 720, "inch"),
    "inches": (1.0, "inch"),
    "centimeters": (0.1, "cm"),
    "centimetres": (0.1, "cm"),
}

_T = TypeVar("_T")


def read_draft(data: bytes, file: str, wish: AskedOf = AS_IT_IS) -> Draft:
    """The threading in a WIF file. Raises DraftError where it has none, or one that cannot be read."""
    return read_text(data, file, lambda stream: _Wif(stream, file).draft(wish))


class _Wif:
    """What one file says, and in `said` what is odd about it."""

    def __init__(self, stream: TextIO, file: str):
        self.file = file
        self.said: list[Tell] = []
        self.sections: set[str] = set()
        self.keys: dict[str, dict[str, str]] = {section: {} for section in _NAMED}
        self.threading = Column("THREADING", _shafts, file, strict=True)
        self.colours = Column("WARP COLORS", _colour, file)
        self.table = Column("COLOR TABLE", _entry, file)
        self.spacing = Column("WARP SPACING", _measure, file)
        self.thickness = Column("WARP THICKNESS", _measure, file)
        self._take(stream)

    def draft(self, wish: AskedOf) -> Draft:
        """The draft. Raises DraftError where there is no threading."""
        if "THREADING" not in self.sections:
            known = self.sections & {"WIF", "CONTENTS", "WEAVING", "WARP"}
            what = "there is no [THREADING] section" if known else "this is not a WIF draft"
            raise DraftError(what, "export the draft anew, with its threading", file=self.file)
        self._check_contents()
        declared = self._whole("WEAVING", "shafts")
        there, of_ends, shafts = threaded(self._of_ends(), declared, self.file, self.said, wish)
        numbers = [index + 1 for index in there]
        yarn_keys, yarns = yarns_of(*self._looks(numbers), self.file, self.said)
        kinds: dict[tuple[Shafts, str], End] = {}
        ends = tuple(kinds.setdefault(kind, End(*kind)) for kind in zip(of_ends, yarn_keys, strict=True))
        ends = hung_together(ends, self.file, self.said, wish)
        sett, unit = self._sett(numbers)
        return Draft(self._title(), shafts, ends, yarns, sett, unit, tuple(self.said))

    def _take(self, stream: TextIO) -> None:
        columns: dict[str, Column[Any]] = {
            column.section: column
            for column in (self.threading, self.colours, self.table, self.spacing, self.thickness)
        }
        for line, section, key, value in entries(stream):
            if key is None:
                self._begin(section, line)
            elif section in columns:
                columns[section].take(line, key, value)
            elif section in self.keys and len(self.keys[section]) < MOST_KEYS:
                self.keys[section][key] = value
        for column in columns.values():
            self.said.extend(column.remarks())

    def _begin(self, section: str, line: int) -> None:
        if section in self.sections & _READ and len(self.said) < MOST_KEYS:
            self.said.append(Tell("section begins again", line=line, section=section))
        if len(self.sections) < MOST_KEYS:
            self.sections.add(section)

    def _check_contents(self) -> None:
        """Remark on sections that [CONTENTS] denies, or promises in vain."""
        for key, value in self.keys["CONTENTS"].items():
            section, word = key.upper(), value.partition(";")[0].strip().lower()
            if word in _NO and section in self.sections & _READ:
                self.said.append(Tell("section denied", section=section))
            if word in _YES and section in _READ - self.sections:
                self.said.append(Tell("section promised", section=section))

    def _of_ends(self) -> list[Shafts | None]:
        """The shafts of each end, None where it has none, up to the last that [WARP] or [THREADING] knows of."""
        found = [shafts or None for shafts in self.threading.values[1:]]
        threads = self._whole("WARP", "threads") or len(found)
        if threads > MOST_ENDS:
            what, todo = "[WARP] says {threads:,} threads", "the most is {most:,}"
            raise DraftError(what, todo, file=self.file, threads=threads, most=MOST_ENDS)
        if threads < len(found):
            self.said.append(Tell("more ends than said", said=threads, last=len(found)))
        return found + [None] * (threads - len(found))

    def _looks(self, numbers: list[int]) -> tuple[list[Colour | None], list[float | None], dict[Colour, str]]:
        """The colour as it is given and the thickness of each of these ends, and what the colours look like."""
        places = self.colours.of(numbers, self._usual("color", _colour))
        used = [place for place in dict.fromkeys(places) if place is not None]
        colours = palette(used, self.table, self.keys["COLOR PALETTE"], self.said)
        return places, self.thickness.of(numbers, self._usual("thickness", _measure)), colours

    def _sett(self, numbers: list[int]) -> tuple[float | None, Unit]:
        """Ends per unit, from the mean spacing; None where the draft does not say."""
        units = self._value("WARP", "units")
        scale, unit = _UNITS.get(units.lower(), (0.0, "inch"))
        spacings = self.spacing.of(numbers, self._usual("spacing", _measure))
        known = [spacing for spacing in spacings if spacing is not None]
        if not known:
            return None, unit
        width = sum(known) * scale
        sett = float(f"{len(known) / width:.{SETT_DIGITS}g}") if width else 0.0
        if len(known) < len(spacings) or not 0 < sett <= MOST_MEASURE:
            self.said.append(Tell("no sett", units=shown(units)))
            return None, unit
        if min(known) < max(known):
            self.said.append(Tell("sett changes", sett=sett))
        return sett, unit

    def _title(self) -> str:
        title = self.keys["TEXT"].get("title") or Path(self.file).stem
        return one_line(title)[:MOST_CHARACTERS].strip()

    def _value(self, section: str, key: str) -> str:
        return self.keys[section].get(key, "").partition(";")[0].strip()

    def _usual(self, key: str, read: Callable[[str], _T]) -> _T | None:
        """What [WARP] says of every end that has no entry of its own."""
        text = self._value("WARP", key)
        try:
            return read(text) if text else None
        except ValueError:
            self.said.append(Tell("value left aside", name=key.title(), section="WARP", value=shown(text)))
            return None

    def _whole(self, section: str, key: str) -> int | None:
        """A count, None where it is 0 or cannot be read."""
        text = self._value(section, key)
        try:
            return _number(text) if text else None
        except ValueError:
            self.said.append(Tell("value left aside", name=key.title(), section=section, value=shown(text)))
            return None


_READ = frozenset((*_NAMED, "THREADING", "WARP COLORS", "COLOR TABLE", "WARP SPACING", "WARP THICKNESS"))


def _shafts(text: str) -> Shafts:
    """The shafts of one end, () for 0 or nothing."""
    shafts = dict.fromkeys(_number(shaft) for shaft in text.split(",")) if text.strip() else {}
    return tuple(shaft for shaft in shafts if shaft)


def _number(text: str) -> int:
    """A whole number from 0. Raises ValueError where it is none."""
    digits = text.strip()
    if not (digits.isascii() and digits.isdecimal() and len(digits) < 10):
        raise ValueError(text)
    return int(digits)


def _measure(text: str) -> float:
    """A number from 0. Raises ValueError where it is none."""
    value = float(text)
    if not (isfinite(value) and 0 <= value <= 1e9):
        raise ValueError(text)
    return value


def _colour(text: str) -> Colour:
    """The place of a colour in the palette, or the colour itself, before which its place may stand."""
    if "," not in text:
        return Colour(_number(text))
    place, rgb = _placed(text)
    return Colour(place, rgb)


def _entry(text: str) -> Rgb:
    """A colour of the palette; its place may stand before it once more."""
    return _placed(text)[1]


def _placed(text: str) -> tuple[int | None, Rgb]:
    *before, red, green, blue = text.split(",")
    if len(before) > 1:
        raise ValueError(text)
    rgb = float(red), float(green), float(blue)
    if not all(map(isfinite, rgb)):
        raise ValueError(text)
    return _number(before[0]) if before else None, rgb


# Of version 1.1 of the format, each file has to name these.
VERSION, DATED, DEVELOPERS = "1.1", "April 20, 1997", "wif@mhsoft.com"

_WRITTEN_UNITS = {"inch": ("Inches", 1.0), "cm": ("Centimeters", 10.0)}  # what the sett counts in

Entries = Mapping[Any, object]  # key, or number of the end -> value


def write_draft(warp: Warp) -> str:
    """A WIF file of the warp, its ends in the order of the sequence; `lost` says what it does not have."""
    numbers = {key: number for number, key in enumerate((k for k, yarn in warp.yarns.items() if yarn.colour), 1)}
    sections: dict[str, Entries] = {
        "TEXT": {"Title": warp.title},
        "WEAVING": {"Shafts": warp.loom.shafts, "Treadles": 0},
        "WARP": {"Threads": warp.ends, **_spacing(warp)},
        "COLOR PALETTE": {"Entries": len(numbers), "Form": "RGB", "Range": "0,255"} if numbers else {},
        "COLOR TABLE": {n: ",".join(map(str, from_hex(warp.yarns[key].colour))) for key, n in numbers.items()},
        "THREADING": {n: ",".join(map(str, end.shafts)) for n, end in enumerate(warp.every_end(), 1) if end.shafts},
        "WARP COLORS": {n: numbers[end.yarn] for n, end in enumerate(warp.every_end(), 1) if end.yarn in numbers},
    }
    given = {name: values for name, values in sections.items() if values}
    first: dict[str, Entries] = {
        "WIF": {"Version": VERSION, "Date": DATED, "Developers": DEVELOPERS, "Source Program": "Heddlecall"},
        "CONTENTS": dict.fromkeys(given, "true"),
    }
    return "\n".join(_lines({**first, **given}))


def lost(warp: Warp) -> tuple[Tell, ...]:
    """What a WIF file of the warp does not say, beside its groups."""
    dents = (
        warp.sley or warp.first_edge or warp.last_edge or any(group.sley or group.empty_before for group in warp.groups)
    )
    found = {
        "two in a heddle": any(end.joins for end in warp.every_end()),
        "how they are sleyed": dents,
        "beams": any(end.beam for end in warp.every_end()),
        "where calls end": any(group.calls for group in warp.groups),
    }
    return tuple(Tell(f"not in a draft: {what}") for what, there in found.items() if there)


def _spacing(warp: Warp) -> dict[str, str]:
    """How far apart the ends lie, where the sett is known."""
    if warp.sett is None:
        return {}
    name, size = _WRITTEN_UNITS[warp.unit]
    return {"Units": name, "Spacing": repr(size / warp.sett)}


def _lines(sections: Mapping[str, Entries]) -> Iterator[str]:
    for name, values in sections.items():
        yield f"[{name}]"
        yield from (f"{key}={value}" for key, value in values.items())
        yield ""

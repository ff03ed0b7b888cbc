"""What goes on the loom: values only."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import chain
from typing import Literal

Edge = Literal["right", "left"]
CallFrom = Literal["right", "left", "centre"]
Unit = Literal["inch", "cm"]
Side = Literal["front", "back"]
Warping = Literal["back-to-front", "front-to-back", "tied-on"]  # in which order a loom is dressed

MOST_SHAFTS = 64
MOST_AT_AN_EDGE = 99  # ends that float, or heddles with two
MOST_ENDS = 100_000  # many times what a loom holds
MOST_ENDS_KEPT = 1_000_000  # of a warp that an older version began
MOST_IN_A_DENT = 99


class Hangs(StrEnum):
    """What the weaver says of what she has done already. The values are the names used in the journal."""

    NEW = "new"  # it hangs like the edited sequence
    BEFORE = "before"  # it hangs as before: what differs is to be done anew


@dataclass(frozen=True, slots=True)
class End:
    """One warp thread: the shafts that carry it, mostly one, none where it floats.

    Yarn and beam are their keys, "" where none is given. `joins`: it lies in the heddle of the end before it, on the
    same shafts.
    """

    shafts: tuple[int, ...]
    yarn: str = ""
    joins: bool = False
    beam: str = ""

    @property
    def floats(self) -> bool:
        """Whether it hangs in no heddle."""
        return not self.shafts


@dataclass(frozen=True, slots=True)
class Group:
    """The ends counted together and tied or clipped when done.

    A `sley` of its own, ends in each dent, repeating, begins in a new dent, and so does the group after it, unless this
    one `shares_dent`: then the next one's first ends fill up its last dent. `calls`: after how many of its ends a call
    ends, in order, the last included; none where they are cut by their size.
    """

    name: str
    ends: tuple[End, ...]
    sley: tuple[int, ...] = ()
    empty_before: int = 0  # dents left empty before it
    shares_dent: bool = False
    calls: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Yarn:
    """A yarn of the warp; `colour` is "#rrggbb" or "", `count` as its label has it: "16/2 Ne", or ""."""

    key: str
    name: str
    colour: str = ""
    metres_per_kg: float | None = None
    count: str = ""


@dataclass(frozen=True, slots=True)
class Beam:
    """What ends are wound on, where not all are wound alike."""

    key: str
    name: str
    metres: float | None = None  # of its warp
    take_up: float | None = None  # the part of it lost in bending around the weft


@dataclass(frozen=True, slots=True)
class EdgeSley:
    """So many of the outermost ends, floating ones among them, and how they lie: ends in each dent, repeating."""

    ends: int
    sley: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Loom:
    """The loom as it stands."""

    shafts: int
    heddles: Mapping[int, int] = field(default_factory=dict, hash=False)  # shaft -> on the loom today, where known
    reed: float | None = None  # dents per unit of the warp
    shaft_1: Side = "front"  # where shaft 1 hangs
    reed_width: float | None = None  # inches, or cm, as the unit of the warp


@dataclass(frozen=True, slots=True)
class Warp:
    """Everything a sequence file says. No two groups have the same name."""

    title: str
    loom: Loom
    groups: tuple[Group, ...]
    start: Edge = "right"  # the edge where the first end lies, seen from the front of the loom
    sett: float | None = None  # ends per unit
    unit: Unit = "inch"  # sett and reed count per inch, or per 10 cm for "cm"
    sley: tuple[int, ...] = ()  # ends in each dent, repeating; 0 leaves a dent empty
    yarns: Mapping[str, Yarn] = field(default_factory=dict, hash=False)
    warping: Warping | None = None  # None where the file does not say
    beams: Mapping[str, Beam] = field(default_factory=dict, hash=False)
    first_edge: EdgeSley | None = None  # where the first end lies
    last_edge: EdgeSley | None = None
    call_from: CallFrom | None = None  # from where it is called; None for the edge of the first end

    @property
    def ends(self) -> int:
        """How many ends the warp has."""
        return sum(len(group.ends) for group in self.groups)

    def every_end(self) -> Iterator[End]:
        """The ends of all groups, in order."""
        return chain.from_iterable(group.ends for group in self.groups)

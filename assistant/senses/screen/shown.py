"""What is shown of a moment, as values: the same for the page and for the board. Pure."""

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import repeat as repeated

from assistant.senses.screen.dyes import Dye, dyes
from assistant.senses.screen.pointed import PLAIN, Pointed, pointed
from assistant.senses.screen.words import ScreenWords
from assistant.session.view import Figure, ModeName, View


@dataclass(frozen=True, slots=True)
class Placard:
    """Something to be read across the room. An end on several shafts is one piece, with a line for each."""

    lines: tuple[str, ...]
    caption: str = ""
    dyes: tuple[Dye, ...] = ()  # of its yarns


@dataclass(frozen=True, slots=True)
class Stand:
    """The shafts as they stand, the front one lowest: for each end, from left to right, its heights from 1."""

    shafts: int
    ends: tuple[tuple[int, ...], ...]
    one_in_front: bool  # shaft 1 is the front one


@dataclass(frozen=True, slots=True)
class Strand:
    """A yarn of the call, and how many ends of it."""

    name: str
    dye: Dye
    ends: int


@dataclass(frozen=True, slots=True)
class Tied:
    """A knot: whether its ends lie over the first lease stick, and the yarn of the new one."""

    over: bool
    dye: Dye


@dataclass(frozen=True, slots=True)
class Shown:
    """The call, or what else is to be read across the room."""

    pieces: tuple[Placard, ...]
    row: int  # pieces after which what they say repeats, so that rows may break there; all of them where it does not
    captioned: bool  # the pieces are not understood without what is told in small
    place: str  # of the call within its group; "" where none is out
    following: str  # the next call
    yarns: tuple[Strand, ...]  # of the call, in the order in which they come
    stand: Stand | None  # where shafts are told
    pointed: Pointed | None  # what the question is about, or the dents of the call
    knots: tuple[Tied, ...]  # of the call, from left to right


def shown(words: ScreenWords, view: View) -> Shown:
    """What is shown of a moment."""
    letterings = words.from_afar(view)
    dyed = dyes(view.palette.values())
    figures = view.figures if len(view.figures) == len(letterings) else ()
    pieces = [
        Placard(lines(lettering.text, figure), lettering.caption, tuple(dyed[key] for key in figure.yarns))
        for lettering, figure in zip(letterings, figures or repeated(Figure("")), strict=False)
    ]
    called = view.mode in (ModeName.CALLING, ModeName.THERE)
    ends = [figure.shafts for figure in figures if figure.shafts]
    knots = [Tied(knot.over, dyed.get(knot.yarn, PLAIN)) for knot in view.knots]
    return Shown(
        tuple(pieces),
        repeat([piece.lines for piece in pieces]),
        bool(figures) and (not view.called or bool(view.dents) or view.job == "heddles"),
        words.place_of_call(view) if called else "",
        words.following(view),
        tuple(strands(words, view, dyed)),
        stand(view, ends) if ends else None,
        pointed(view, dyed),
        tuple(reversed(knots) if view.start == "right" else knots),
    )


def lines(text: str, figure: Figure) -> tuple[str, ...]:
    """What is read of a figure: of an end on several shafts, a line for each, and one for how many lie there."""
    if len(figure.shafts) < 2:
        return (text,)
    return (*map(str, figure.shafts), *([f"×{figure.ends}"] if figure.ends > 1 else []))


def strands(words: ScreenWords, view: View, dyed: Mapping[str, Dye]) -> Iterator[Strand]:
    """Each yarn of the call once."""
    ends = Counter[tuple[str, str]]()
    for band in view.yarns:
        ends[band.yarn, band.colour] += band.ends
    known = {(yarn.name, yarn.colour): dyed[key] for key, yarn in view.palette.items()}
    for (name, colour), count in ends.items():
        if name or colour:
            yield Strand(name or words.text("yarn"), known.get((name, colour), Dye(colour)), count)


def repeat(told: Sequence[Hashable]) -> int:
    """The length of the shortest row of which all are whole repeats, or all but the last; all of them where none is."""
    most = len(told) // 2
    return next(
        (row for row in range(2, most + 1) if all(one == told[at % row] for at, one in enumerate(told))), len(told)
    )


def stand(view: View, ends: Sequence[tuple[int, ...]]) -> Stand:
    """As seen from the front: the first end lies where the warp begins."""
    front = view.shaft_1 == "front"
    heights = [tuple(shaft if front else view.shafts + 1 - shaft for shaft in end) for end in ends]
    return Stand(view.shafts, tuple(reversed(heights) if view.start == "right" else heights), front)

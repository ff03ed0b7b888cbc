"""Warps as hypothesis draws them."""

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import strategies as st

from assistant.warp.colour_order import is_key
from assistant.warp.draft import Draft
from assistant.warp.model import Beam, EdgeSley, End, Group, Loom, Warp, Yarn
from assistant.warp.notation import Ends
from assistant.warp.passes.order import ORDERS
from assistant.warp.source import MOST_CHARACTERS, MOST_MEASURE, one_line
from assistant.words.language import load
from assistant.words.printed import Printed

measures = st.floats(0, MOST_MEASURE, exclude_min=True)
lines = st.text(max_size=MOST_CHARACTERS).filter(lambda text: one_line(text) == text)
colours = st.one_of(st.just(""), st.from_regex("#[0-9A-Fa-f]{6}", fullmatch=True))
keys = st.one_of(st.sampled_from(["flax", "yes", "null", "light-blue", "亞麻"]), st.text(max_size=8).filter(is_key))


def threadings(shafts: int = 64, min_size: int = 0) -> st.SearchStrategy[Ends]:
    """Ends on one or more shafts, with the counts up and down and the repeats of real threadings among them."""
    single = st.integers(1, shafts).map(lambda shaft: ((shaft,),))
    several = st.lists(st.integers(1, shafts), min_size=1, max_size=4, unique=True).map(lambda end: (tuple(end),))
    count = st.tuples(st.integers(1, shafts), st.integers(1, shafts)).map(_count)
    piece = st.one_of(single, several, count)
    repeated = st.tuples(piece, st.integers(1, 5)).map(lambda part: part[0] * part[1])
    return st.lists(st.one_of(piece, repeated), min_size=min_size, max_size=8).map(lambda parts: sum(parts, ()))


def _count(bounds: tuple[int, int]) -> Ends:
    first, last = bounds
    step = 1 if first <= last else -1
    return tuple((shaft,) for shaft in range(first, last + step, step))


@st.composite
def warps(draw: st.DrawFn, *, parts: bool = False) -> Warp:
    """Any warp, with odd titles and names; with all the parts that a file may have, or with an end in each heddle."""
    shafts = draw(st.integers(1, 64))
    yarns = {key: Yarn(key, *draw(_yarn_rest)) for key in draw(st.lists(keys, max_size=3, unique=True))}
    wound = draw(st.lists(keys, max_size=2 if parts else 0, unique=True))
    beams = {key: Beam(key, *draw(_beam_rest)) for key in wound}
    names = draw(st.lists(lines.filter(str.strip), min_size=1, max_size=4, unique=True))
    plain = st.tuples(threadings(shafts, min_size=1), _orders(["", *yarns])).map(lambda drawn: _of_yarns(*drawn))
    if parts:
        lying = tuple(draw(groups(name, shafts, ["", *yarns], ["", *beams])) for name in names)
    else:
        lying = tuple(Group(name, draw(plain)) for name in names)
    return Warp(
        title=draw(lines),
        loom=Loom(
            shafts,
            draw(st.dictionaries(st.integers(1, shafts), st.integers(0, 999_999))),
            draw(st.none() | measures),
            draw(st.sampled_from(["front", "back"])),
            draw(st.none() | measures),
        ),
        groups=lying,
        start=draw(st.sampled_from(["right", "left"])),
        sett=draw(st.none() | measures),
        unit=draw(st.sampled_from(["inch", "cm"])),
        sley=draw(st.just(()) | sleys),
        yarns=yarns,
        warping=draw(st.sampled_from([None, *ORDERS])),
        beams=beams,
        first_edge=draw(st.none() | edges) if parts else None,
        last_edge=draw(st.none() | edges) if parts and sum(len(group.ends) for group in lying) > 1 else None,
        call_from=draw(st.sampled_from([None, "right", "left", "centre"])) if parts else None,
    )


sleys = st.lists(st.integers(0, 99), min_size=1, max_size=4).filter(any).map(tuple)
edges = st.builds(EdgeSley, st.just(1), sleys)
counts = st.sampled_from(["", "16/2 Ne", "Nm 28/2", "20 tex x 2", "4200 yd/lb", "8400.5 m/kg"])
_yarn_rest = st.tuples(lines.filter(str.strip), colours, st.none() | measures, counts)


_lengths = st.none() | st.integers(1, 10**11).map(lambda millionths: round(millionths / 10**6, 6))
_take_ups = st.none() | st.integers(0, 999_999).map(lambda part: round(part / 10**6, 6))
_beam_rest = st.tuples(lines.filter(str.strip), _lengths, _take_ups)


@st.composite
def groups(
    draw: st.DrawFn, name: str = "a", shafts: int = 64, yarns: Sequence[str] = ("",), beams: Sequence[str] = ("",)
) -> Group:
    """Any group: ends that float or share a heddle, marks, a sley of its own."""
    hung = draw(st.lists(st.tuples(threadings(shafts, min_size=1), st.integers(-3, 3)), min_size=1, max_size=3))
    ends: list[End] = []
    for threads, together in hung:
        for thread in threads if together >= 0 else ((),):
            ends += [End(thread, joins=number > 0) for number in range(max(together, 1))]
    order, wound = draw(_orders(yarns)), draw(_orders(beams))
    ends = [replace(end, yarn=order[i % len(order)], beam=wound[i % len(wound)]) for i, end in enumerate(ends)]
    alone = [number for number in range(1, len(ends)) if not ends[number].joins]
    calls = draw(st.none() | st.sets(st.sampled_from(alone)) if alone else st.none() | st.just(set()))
    return Group(
        name,
        tuple(ends),
        draw(st.just(()) | sleys),
        draw(st.integers(0, 3)),
        draw(st.booleans()),
        () if calls is None else (*sorted(calls), len(ends)),
    )


def _of_yarns(threads: Ends, order: list[str]) -> tuple[End, ...]:
    return tuple(End(thread, order[i % len(order)]) for i, thread in enumerate(threads))


def _orders(keys: Sequence[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(keys), min_size=1, max_size=5)


def remarks(draft: Draft) -> tuple[str, ...]:
    """What was odd about a draft, in English."""
    return tuple(map(Printed(load("en")).told, draft.warnings))

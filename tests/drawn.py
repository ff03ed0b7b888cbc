"""Warps as hypothesis draws them."""

from hypothesis import strategies as st

from assistant.warp.colour_order import is_key
from assistant.warp.draft import Draft
from assistant.warp.model import End, Group, Loom, Warp, Yarn
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
def warps(draw: st.DrawFn) -> Warp:
    """Any warp, with odd titles and names."""
    shafts = draw(st.integers(1, 64))
    yarns = {key: Yarn(key, *draw(_yarn_rest)) for key in draw(st.lists(keys, max_size=3, unique=True))}
    names = draw(st.lists(lines.filter(str.strip), min_size=1, max_size=4, unique=True))
    return Warp(
        title=draw(lines),
        loom=Loom(
            shafts,
            draw(st.dictionaries(st.integers(1, shafts), st.integers(0, 999_999))),
            draw(st.none() | measures),
            draw(st.sampled_from(["front", "back"])),
            draw(st.none() | measures),
        ),
        groups=tuple(Group(name, draw(_ends(shafts, ["", *yarns]))) for name in names),
        start=draw(st.sampled_from(["right", "left"])),
        sett=draw(st.none() | measures),
        unit=draw(st.sampled_from(["inch", "cm"])),
        sley=draw(st.lists(st.integers(0, 99), max_size=4).filter(lambda dents: not dents or any(dents)).map(tuple)),
        yarns=yarns,
        warping=draw(st.sampled_from([None, *ORDERS])),
    )


counts = st.sampled_from(["", "16/2 Ne", "Nm 28/2", "20 tex x 2", "4200 yd/lb", "8400.5 m/kg"])
_yarn_rest = st.tuples(lines.filter(str.strip), colours, st.none() | measures, counts)


@st.composite
def _ends(draw: st.DrawFn, shafts: int, yarn_keys: list[str]) -> tuple[End, ...]:
    threads = draw(threadings(shafts, min_size=1))
    order = draw(st.lists(st.sampled_from(yarn_keys), min_size=1, max_size=5))
    return tuple(End(thread, order[i % len(order)]) for i, thread in enumerate(threads))


def remarks(draft: Draft) -> tuple[str, ...]:
    """What was odd about a draft, in English."""
    return tuple(map(Printed(load("en")).told, draft.warnings))

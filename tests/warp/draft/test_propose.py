"""Blocks and groups for a warp that is but a list of ends."""

import random
from dataclasses import replace

import pytest
from drawn import warps
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.warp.draft.propose import plain, propose
from assistant.warp.draft.repeats import LONGEST_GROUP
from assistant.warp.examples import examples
from assistant.warp.model import Edge, End, Group, Loom, Warp, Yarn
from assistant.warp.notation import parse
from assistant.warp.sequence import load, loads

KEYS = ["", "red", "blue"]


def warp_of(text: str, *stripes: tuple[int, str], start: Edge = "right") -> Warp:
    """A warp of one group; its colours are so many ends of each yarn, over and over."""
    threads = parse(text).shafts
    keys = [key for count, key in stripes for _ in range(count)] or [""]
    ends = tuple(End(thread, keys[at % len(keys)]) for at, thread in enumerate(threads))
    yarns = {key: Yarn(key, key) for _, key in stripes}
    return Warp("Warp", Loom(8), (Group("threading", ends),), start, yarns=yarns)


def proposed(warp: Warp) -> list[str]:
    """The lines of the file from the blocks on."""
    lines = propose(warp).splitlines()
    return lines[lines.index("blocks:" if "blocks:" in lines else "groups:") :]


def test_a_pattern_between_two_edges() -> None:
    assert proposed(warp_of("3(1 2) 30(1 2 3 4 1 4 3 2) 3(1 2)")) == [
        "groups:",
        "  - {name: right edge, thread: 3(1 2)}",
        "  - {name: pattern, thread: 3(1..4 1 4 3 2), times: 10}",
        "  - {name: left edge, thread: 3(1 2)}",
    ]


def test_from_the_left_the_edges_change_places() -> None:
    lines = proposed(warp_of("3(1 2) 30(1 2 3 4 1 4 3 2) 3(1 2)", start="left"))
    assert [line.split(",")[0] for line in lines[1::2]] == ["  - {name: left edge", "  - {name: right edge"]


def test_borders_lie_where_the_colour_changes() -> None:
    assert proposed(warp_of("60(1..4)", (48, "red"), (24, "white"), (168, "red")))[1:] == [
        "  - {name: red stripe, thread: 6(1..4), yarn: red, times: 2}",
        "  - {name: white stripe, thread: 6(1..4), yarn: white}",
        "  - {name: red stripe, thread: 6(1..4), yarn: red, times: 7}",
    ]


def test_a_colour_order_goes_on_over_the_group() -> None:
    assert proposed(warp_of("70(1..4)", (4, "slate"), (2, "mist"), (1, "rust")))[1:] == [
        '  - {name: pattern, thread: 7(1..4), yarn: "4 slate, 2 mist, rust", times: 10}'
    ]


def test_a_long_repeat_is_cut_alike_every_time_and_its_parts_get_names() -> None:
    unit = "2 8 5 3 1 2 7 4 6 2 5 8 1 3 6 7 5 4 2 8 6 3 1 7"
    lines = proposed(warp_of(f"5({unit} {unit[::-1]} 1 5 2 6)"))
    names = [line.split(":")[0].strip() for line in lines[1 : lines.index("groups:")]]
    assert names == ["a", "b"]
    assert (
        lines[lines.index("groups:") + 1 :]
        == [
            "  - {name: pattern a, thread: a}",
            "  - {name: pattern b, thread: b}",
        ]
        * 5
    )


def test_a_repeat_that_does_not_share_out_evenly_ends_with_a_larger_group() -> None:
    assert proposed(warp_of("127(1..4)"))[1:] == [
        "  - {name: pattern, thread: 6(1..4), times: 20}",
        "  - {thread: 7(1..4)}",
    ]


def test_a_scrap_is_taken_into_the_group_before() -> None:
    lines = proposed(warp_of("30(1 2 3 4 1 4 3 2) 3 2 30(1..4)"))
    assert "  - {thread: 3(1..4 1 4 3 2) 3 2}" in lines


def test_a_threading_without_any_repeat_is_still_divided_into_groups() -> None:
    source = random.Random(1)
    ends = " ".join(str(source.randint(1, 8)) for _ in range(400))
    sizes = [len(group.ends) for group in loads(propose(warp_of(ends)).encode(), "f.yaml").groups]
    assert sum(sizes) == 400
    assert all(8 <= size <= 40 for size in sizes)


@pytest.mark.parametrize("name", examples())
def test_the_examples_are_found_again(name: str) -> None:
    """A proposal for each example, its groups forgotten, is about as short as what was written by hand."""
    warp = load(examples()[name])
    groups = loads(propose(warp).encode(), "f.yaml").groups
    assert tuple(end for group in groups for end in group.ends) == tuple(warp.every_end())
    assert max(len(group.ends) for group in groups) <= LONGEST_GROUP
    assert len(propose(warp)) < len(plain(warp)) * 0.85


def same_but_for_groups(text: str, warp: Warp) -> bool:
    """Whether the file describes the warp, its groups left aside."""
    back = loads(text.encode(), "f.yaml")
    return tuple(back.every_end()) == tuple(warp.every_end()) and replace(back, groups=()) == replace(warp, groups=())


@given(warps())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_any_warp_comes_back_and_is_never_longer_than_the_plain_list(warp: Warp) -> None:
    text = propose(warp)
    assert same_but_for_groups(text, warp)
    assert same_but_for_groups(plain(warp), warp)
    assert len(text) <= len(plain(warp))


@given(
    st.lists(
        st.tuples(st.lists(st.integers(1, 6), min_size=1, max_size=30), st.integers(1, 12), st.sampled_from(KEYS)),
        min_size=1,
        max_size=8,
    ),
    st.lists(st.integers(0, 7), min_size=1, max_size=12),
)
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_stripes_and_repeats_in_any_order_come_back(parts: list[tuple[list[int], int, str]], order: list[int]) -> None:
    chosen = [parts[at % len(parts)] for at in order]
    ends = [End((shaft,), key) for unit, times, key in chosen for shaft in unit * times]
    yarns = {key: Yarn(key, key) for key in KEYS if key}
    warp = Warp("Warp", Loom(6), (Group("threading", tuple(ends)),), yarns=yarns)
    text = propose(warp)
    assert same_but_for_groups(text, warp)
    assert len(text) <= len(plain(warp))
    if text != plain(warp):
        assert max(len(group.ends) for group in loads(text.encode(), "f.yaml").groups) <= LONGEST_GROUP

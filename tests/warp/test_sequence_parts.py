"""What real warps hold beside ends one after the other: edges, several groups together, dents, beams, profiles."""

import pytest
from drawn import groups
from hypothesis import given
from hypothesis import strategies as st

from assistant.warp.colour_order import over, parse
from assistant.warp.model import Beam, EdgeSley, Group, Warp
from assistant.warp.sequence import dump, loads
from assistant.warp.threads import Threaded, backwards, calls_backwards


def read(*lines: str, shafts: int = 4) -> Warp:
    """The warp of these lines."""
    return loads("\n".join([f"shafts: {shafts}", *lines]).encode(), "f.yaml")


def hangs(group: Group) -> str:
    """Its ends: ~ where one floats, a + behind one in the heddle of the end before it, its yarn before it."""
    return " ".join(
        f"{end.yarn}{'~' if end.floats else '/'.join(map(str, end.shafts))}{'+' * end.joins}" for end in group.ends
    )


def threads(*lines: str, shafts: int = 4) -> list[str]:
    """How the groups of a file hang, by name."""
    return [f"{group.name}: {hangs(group)}" for group in read(*lines, shafts=shafts).groups]


def test_groups_repeat_and_mirror_together() -> None:
    stripes = "[{name: a, thread: 1 2 3}, {name: b, thread: 4}]"
    assert threads(f"groups: [{{groups: {stripes}, times: 2}}, {{name: a, thread: 4}}]") == [
        "a 1: 1 2 3", "b 1: 4", "a 2: 1 2 3", "b 2: 4", "a 3: 4",
    ]  # fmt: skip
    assert threads(f"groups: [{{groups: {stripes}}}, {{groups: {stripes}, mirror: true}}]") == [
        "a 1: 1 2 3", "b 1: 4", "b 2: 4", "a 2: 3 2 1",
    ]  # fmt: skip
    inner = "{groups: [{name: a, thread: 1 2, times: 2}, {name: b, thread: 3 4}], mirror: true, times: 2}"
    assert threads(f"groups: [{{groups: [{inner}, {{name: c, thread: 1}}], mirror: true}}]") == [
        "c: 1", "a 1: 1 2", "a 2: 1 2", "b 1: 3 4", "a 3: 1 2", "a 4: 1 2", "b 2: 3 4",
    ]  # fmt: skip


def test_a_mirrored_group_is_so_with_yarns_calls_and_dents() -> None:
    group = read(
        "yarns: {x: {}, y: {}}",
        "groups: [{thread: 1*2 2; 3 4, yarn: 'x, 2 y', sley: [3, 1], mirror: true}]",
    ).groups[0]
    assert hangs(group) == "y4 x3 y2 y1 x1+"
    assert group.calls == (2, 5)
    assert group.sley == (1, 1, 3)  # 3 1 1, seen from the other side
    assert read("groups: [{thread: 1 2 3 4, sley: [3, 1], mirror: true}]").groups[0].sley == (1, 3)


def test_what_lies_between_groups_stays_there_when_they_are_mirrored() -> None:
    entry = "groups: [{thread: 1, empty_before: 5}, {thread: 2, empty_before: 2, shares_dent: true}, {thread: 3}]"
    straight = read(f"groups: [{{{entry}}}]").groups
    turned = read(f"groups: [{{{entry}, mirror: true}}]").groups
    assert [(group.empty_before, group.shares_dent) for group in straight] == [(5, False), (2, True), (0, False)]
    assert [(group.empty_before, group.shares_dent) for group in turned] == [(5, True), (0, False), (2, False)]


def test_an_edge_floats_and_is_doubled_on_either_side() -> None:
    assert threads("selvedge: {floating: 1, doubled: 2}", "groups: [{thread: 1 2 3}, {thread: 4 3 2}]") == [
        "group 1: ~ 1 1+ 2 2+ 3", "group 2: 4 3 3+ 2 2+ ~",
    ]  # fmt: skip
    assert threads("start: left", "selvedge: {left: {floating: 2}}", "groups: [{thread: 1 2}]") == ["group: ~ ~ 1 2"]
    assert threads("start: right", "selvedge: {left: {floating: 2}}", "groups: [{thread: 1 2}]") == ["group: 1 2 ~ ~"]


def test_doubled_heddles_go_on_into_the_next_group_and_have_two_ends_at_most() -> None:
    lines = "selvedge: {right: {doubled: 3}}", "groups: [{thread: 1*2}, {thread: ~ 2 3; 4}]"
    assert threads(*lines) == ["group 1: 1 1+", "group 2: ~ 2 2+ 3 3+ 4"]
    assert read(*lines).groups[1].calls == (5, 6)
    assert threads("selvedge: {doubled: 1}", "groups: [{thread: 1}]") == ["group: 1 1+"]


def test_ends_of_an_edge_have_yarn_and_beam_of_the_ends_beside_them() -> None:
    warp = read(
        "yarns: {x: {}, y: {}}", "beams: {g: {}}", "selvedge: {floating: 1, doubled: 1}",
        "groups: [{thread: 1 2; 3, yarn: 'x, y', beam: g}]",
    )  # fmt: skip
    assert hangs(warp.groups[0]) == "x~ x1 x1+ y2 x3 x3+ x~"
    assert {end.beam for end in warp.groups[0].ends} == {"g"}
    assert warp.groups[0].calls == (4, 7)


def test_the_sley_of_an_edge_is_for_its_ends() -> None:
    group = "groups: [{thread: 5(1..4)}]"
    both = read("selvedge: {floating: 1, doubled: 2, sley: [1, 4]}", group)
    assert both.first_edge == both.last_edge == EdgeSley(5, (1, 4))
    one = read("start: left", "selvedge: {left: {sley: [4], ends: 8}}", group)
    assert (one.first_edge, one.last_edge) == (EdgeSley(8, (4,)), None)


def test_a_group_has_a_sley_dents_and_a_beam() -> None:
    crammed = read("groups: [{thread: 6(1 2), sley: [3], empty_before: 2, shares_dent: true}]").groups[0]
    assert (crammed.sley, crammed.empty_before, crammed.shares_dent) == ((3,), 2, True)
    warp = read(
        "beams: {ground: {name: ground warp, length: 3 m, take_up: 5}, pile: {length: 4 1/2 yd, take_up: 60.5}}",
        "groups: [{thread: 1 2 3 4 1, beam: '2 ground, pile'}]",
    )
    assert [end.beam for end in warp.groups[0].ends] == ["ground", "ground", "pile", "ground", "ground"]
    assert warp.beams == {
        "ground": Beam("ground", "ground warp", 3.0, 0.05),
        "pile": Beam("pile", "pile", 4.1148, 0.605),  # a yard is 0.9144 m: NIST SP 811, appendix B.8
    }


def test_the_edge_from_which_is_called() -> None:
    assert read("groups: [{thread: 1}]").call_from is None
    assert read("call_from: left", "groups: [{thread: 1}]").call_from == "left"


def test_orders_of_yarns_have_brackets_and_mirrors() -> None:
    def order(text: str) -> str:
        return "".join(over(parse(text, "abc"), 12))

    assert order("2(1 a, 1 b), 4 c") == "ababccccabab"
    assert order("mirror(a, 2 b, c), b") == "cbbabcbbabcb"
    assert order("2(a, mirror(b, 2(c, a)))") == "aacacbaacacb"
    assert order("999(a, b)") == "ab" * 6


# Keys from memory, as handbooks give them: summer and winter and Bronson lace in Mary Meigs Atwater, "The Shuttle-Craft
# Book of American Hand-Weaving"; overshot, whose neighbouring blocks share an end, and turned twill in
# Marguerite Porter Davison, "A Handweaver's Pattern Book".
SUMMER_AND_WINTER = "{A: 1 3 2 3, B: 1 4 2 4}"
BRONSON = "{A: 1 3 1 3 1 2;, B: 1 4 1 4 1 2;}"
OVERSHOT = "{A: 1 2, B: 2 3, C: 3 4, D: 4 1, joint: shared}"
TURNED_TWILL = "{A: 1..4, B: 5..8}"


def woven(key: str, profile: str, shafts: int = 8) -> str:
    """The threading of a profile."""
    return hangs(read(f"keys: {{weave: {key}}}", f"groups: [{{profile: '{profile}'}}]", shafts=shafts).groups[0])


def test_a_profile_is_threaded_by_its_key() -> None:
    assert woven(SUMMER_AND_WINTER, "A 2B A") == "1 3 2 3 1 4 2 4 1 4 2 4 1 3 2 3"
    assert woven(TURNED_TWILL, "2(A, B)-B") == "1 2 3 4 5 6 7 8 1 2 3 4 5 6 7 8 5 6 7 8"
    lace = read(f"keys: {{lace: {BRONSON}}}", "groups: [{profile: A 2B}]").groups[0]
    assert hangs(lace) == "1 3 1 3 1 2 1 4 1 4 1 2 1 4 1 4 1 2"
    assert lace.calls == (6, 12, 18)


@pytest.mark.parametrize(
    ("key", "calls"),
    [
        (SUMMER_AND_WINTER, (4, 8, 12)), (BRONSON.replace(";", ""), (6, 12, 18)),
        ("{A: 1 2 3, B: 1 3*2 2}", (3, 7, 11)), ("{A: 1 2, B: 3 4}", ()), ("{A: 1..8, B: 5..8}", ()),
        ("{A: 1 3 2 3;, B: 1 4 2 4}", (4, 12)), ("{A: 1 2 3, B: 3 4 1, joint: shared}", ()),
    ],
)  # fmt: skip
def test_a_call_ends_with_each_block_that_can_be_called_whole(key: str, calls: tuple[int, ...]) -> None:
    """Of 3 to 6 heddles, as a repeat is: common practice, no source."""
    assert read(f"keys: {{weave: {key}}}", "groups: [{profile: A 2B}]", shafts=8).groups[0].calls == calls


def test_a_profile_is_threaded_by_any_of_several_keys() -> None:
    keys = f"keys: {{sw: {SUMMER_AND_WINTER}, twill: {TURNED_TWILL}}}"
    assert threads(keys, "groups: [{profile: B A, key: sw}, {profile: B A, key: twill}]", shafts=8) == [
        "group 1: 1 4 2 4 1 3 2 3", "group 2: 5 6 7 8 1 2 3 4",
    ]  # fmt: skip


def test_blocks_in_a_mirror_follow_each_other_backwards_each_as_it_is() -> None:
    assert woven(SUMMER_AND_WINTER, "A B mirror(A)") == woven(SUMMER_AND_WINTER, "A B A")
    assert woven(TURNED_TWILL, "mirror(A 2B)") == woven(TURNED_TWILL, "2B A")


def test_blocks_of_overshot_share_an_end_and_are_threaded_backwards_in_a_mirror() -> None:
    assert woven(OVERSHOT, "2A 2B C D") == "1 2 1 2 3 2 3 4 1"
    assert woven(OVERSHOT, "mirror(2A 2B)") == "3 2 3 2 1 2 1"
    assert woven(OVERSHOT, "2A 2B mirror(mirror(2B) 2A)") == "1 2 1 2 3 2 3 2 1 2 1 2 3 2 3"


def test_a_key_may_use_blocks_marks_and_ends_in_one_heddle() -> None:
    lines = "blocks: {u: 1 3}", "keys: {k: {A: u 1*2;, B1: ~ 2}}", "groups: [{profile: A B1 A, mirror: true}]"
    group = read(*lines).groups[0]
    assert hangs(group) == "1 1+ 3 1 2 ~ 1 1+ 3 1"
    assert group.calls == (6, 10)


def test_a_warp_with_all_of_it_is_written_so_that_it_is_read_again() -> None:
    warp = read(
        "start: left", "call_from: right", "selvedge: {right: {floating: 1}, left: {doubled: 2, sley: [4]}}",
        "beams: {g: {length: 1/3 yd, take_up: 33.33 %}}", f"keys: {{k: {BRONSON}}}",
        "groups:", "- {profile: 3A, beam: g, sley: [2, 3], shares_dent: true}", "- {thread: 1234, empty_before: 3}",
    )  # fmt: skip
    assert loads(dump(warp).encode(), "other.yaml") == warp
    assert "thread: 1*2 3*2 1 3 1 2; 1 3 1 3 1 2; 1 3 1 3 1 2" in dump(warp)


@given(groups())
def test_mirrored_twice_it_is_the_same(group: Group) -> None:
    assert backwards(backwards(group.ends)) == group.ends
    assert calls_backwards(calls_backwards(group.calls)) == group.calls
    mirrored = Threaded.of(group.ends, group.calls).mirrored
    assert [end.shafts for end in backwards(group.ends)] == [end.shafts for end in mirrored.ends]
    assert calls_backwards(group.calls) == mirrored.calls


@given(groups(), st.integers(0, 2), st.integers(0, 2))
def test_edges_change_nothing_between_them(group: Group, floating: int, doubled: int) -> None:
    """However many float and are doubled, heddles and their order stay."""
    whole = Warp("", read("groups: [{thread: 1}]", shafts=64).loom, (group,))
    heddles = sum(not end.joins and not end.floats for end in group.ends)
    text = f"selvedge: {{floating: {floating}, doubled: {min(doubled, heddles)}}}\n{dump(whole)}"
    found = loads(text.encode(), "f.yaml").groups[0]
    assert [end.shafts for end in found.ends if not end.joins and not end.floats] == [
        end.shafts for end in group.ends if not end.joins and not end.floats
    ]
    assert len(found.calls) == len(group.calls)

"""How a warp lies in the reed, against dents that are filled one by one; and as seen from its other edge."""

import random
from collections import Counter
from dataclasses import replace
from itertools import dropwhile, groupby, takewhile

import pytest

from assistant.errors import PlanError
from assistant.warp.model import EdgeSley, End, Group, Loom, Warp
from assistant.warp.passes import SLEY
from assistant.warp.reed import InReed, in_reed, start
from assistant.warp.sett import Sley
from assistant.warp.turned import turned

ON_A_SHAFT, FLOATING = End((1,)), End(())
REPEATS = [(1,), (2,), (4,), (1, 2), (2, 2, 3), (1, 0), (0, 1), (2, 0, 3), (0, 2, 0), (3, 0, 0, 1)]


class Hands:
    """Puts ends in dents, one after the other."""

    def __init__(self) -> None:
        self.dents: list[list[int]] = []
        self.row: tuple[int, ...] = (1,)
        self.at = self.room = 0

    def begin(self, row: tuple[int, ...], gap: int = 0, rest: bool = True) -> None:
        """Go by another row in the next dent; empty dents that the old row still has are left so."""
        while rest and self.at % len(self.row) and not self.row[self.at % len(self.row)]:
            self.dents.append([])
            self.at += 1
        self.dents += [[] for _ in range(gap)]
        self.row, self.at, self.room = row, 0, 0

    def put(self, end: int) -> None:
        while not self.room:
            self.room = self.row[self.at % len(self.row)]
            self.at += 1
            self.dents.append([])
        self.dents[-1].append(end)
        self.room -= 1

    def put_all(self, ends: list[int]) -> None:
        for end in ends:
            self.put(end)


def kinds(warp: Warp) -> list[str | int]:
    """Of each end the number of its group, or which edge it lies by."""
    ends = list(warp.every_end())
    found: list[str | int] = [at for at, group in enumerate(warp.groups) for _ in group.ends]
    for way, edge, name in ((1, warp.first_edge, "first"), (-1, warp.last_edge, "last")):
        numbers = list(range(len(ends)))[::way]
        floating = list(takewhile(lambda at: ends[at].floats, numbers))
        for at in floating if len(floating) < len(ends) else ():
            found[at] = f"{name} floats"
        for at in numbers[: edge.ends if edge else 0]:
            found[at] = name
    return found


def from_outside(ends: list[int], row: tuple[int, ...]) -> list[list[int]]:
    """The dents of the last edge, and those it leaves empty inside, in the order of the file."""
    outside = Hands()
    outside.begin(row)
    for end in reversed(ends):
        outside.put(end)
    outside.begin((1,))
    held = list(dropwhile(lambda dent: not dent, outside.dents))
    return [dent[::-1] for dent in reversed(held)]


def expanded(warp: Warp) -> list[list[int]]:
    """The ends in each dent, from the first that holds one."""
    hands, found = Hands(), kinds(warp)
    of_group = [at for at, group in enumerate(warp.groups) for _ in group.ends]
    shares = by_warp = swallowed = False
    for kind, run in groupby(range(warp.ends), key=lambda at: found[at]):
        todo = [at + 1 for at in run]
        number = of_group[todo[0] - 1]
        group = warp.groups[number]
        whole = of_group.index(number) + 1 == todo[0]
        gap = group.empty_before if whole and kind not in ("first", "first floats") else 0
        if kind == "last":
            assert warp.last_edge
            hands.begin((1,), gap)
            hands.dents += from_outside(todo, warp.last_edge.sley)
        elif isinstance(kind, str):
            hands.begin(warp.first_edge.sley if kind == "first" and warp.first_edge else (len(todo),), gap)
            hands.put_all(todo)
            shares = by_warp = swallowed = False
        else:
            goes_on = (by_warp or swallowed) and not group.sley and not gap
            fills = not gap and (shares or goes_on)
            if not (goes_on and by_warp):
                while fills and todo and hands.room:
                    hands.put(todo.pop(0))
                if todo:
                    hands.begin(group.sley or warp.sley, gap, not fills)
                swallowed = not todo and not group.sley
                by_warp = bool(todo) and not group.sley
            shares = group.shares_dent
            hands.put_all(todo)
    return list(dropwhile(lambda dent: not dent, hands.dents))


def drawn(chance: random.Random) -> Warp:
    """A warp with sleys of groups and edges, gaps, shared dents and floating ends, some of each."""
    often = chance.choice([0.0, 0.3, 0.8])

    def own() -> tuple[int, ...]:
        return chance.choice(REPEATS) if chance.random() < often else ()

    groups = [
        Group(f"g{number}", (ON_A_SHAFT,) * chance.randint(1, 9), own(), chance.choice([0, 0, 0, 1, 3]) * (often > 0),
              chance.random() < often)
        for number in range(chance.randint(1, 7))
    ]  # fmt: skip
    for at in (0, -1):
        floating = chance.choice([0, 0, 1, 2])
        ends = groups[at].ends
        groups[at] = replace(
            groups[at], ends=(FLOATING,) * floating + ends if at == 0 else ends + (FLOATING,) * floating
        )
    in_all = sum(len(group.ends) for group in groups)
    edges = [
        EdgeSley(chance.randint(1, max(1, min(in_all // 2, 9))), chance.choice(REPEATS))
        if chance.random() < often
        else None
        for _ in range(2)
    ]
    if in_all < 2:
        edges = [None, None]
    return Warp(
        "", Loom(1, reed=10.0), tuple(groups), sley=chance.choice(REPEATS), first_edge=edges[0], last_edge=edges[1]
    )


def lying_of(warp: Warp) -> InReed:
    lying = in_reed(warp)
    assert lying is not None
    return lying


def dents_of(lying: InReed) -> list[list[int]]:
    return [list(lying.held(dent)) for dent in range(1, lying.dents + 1)]


@pytest.mark.parametrize("seed", range(150))
def test_every_end_lies_where_hands_put_it(seed: int) -> None:
    warp = drawn(random.Random(seed))
    lying, dents = lying_of(warp), expanded(warp)
    assert dents_of(lying) == dents
    assert [(used.dent, list(used.ends)) for used in lying.used] == [
        (n, held) for n, held in enumerate(dents, 1) if held
    ]
    assert all(lying.dent(end) == number for number, held in enumerate(dents, 1) for end in held)
    assert lying.filled == dict(sorted(Counter(map(len, dents)).items()))
    assert (lying.dents, lying.width) == (len(dents), len(dents) / 10)
    for number, held in enumerate(dents, 1):
        for nth, end in enumerate(held):
            assert lying.at(end) == pytest.approx((number - 1 + (nth + 0.5) / len(held)) / 10)
            assert lying.nearest(lying.at(end)) == end
    units = [unit for call in SLEY.calls(warp) for unit in call.units]
    assert [unit.dent for unit in units] == [number for number, held in enumerate(dents, 1) for _ in held]


@pytest.mark.parametrize("seed", range(150))
def test_from_the_other_edge_every_dent_holds_the_same_ends(seed: int) -> None:
    warp = drawn(random.Random(seed))
    other = turned(warp)
    mirrored = [[warp.ends + 1 - end for end in reversed(held)] for held in reversed(dents_of(lying_of(warp)))]
    assert dents_of(lying_of(other)) == mirrored
    assert dents_of(lying_of(turned(other))) == dents_of(lying_of(warp))


@pytest.mark.parametrize("repeat", REPEATS)
def test_a_warp_without_more_lies_by_its_repeat_alone(repeat: tuple[int, ...]) -> None:
    """Whatever its groups are, as it did before groups had sleys."""
    for ends in range(1, 40):
        warp = Warp("", Loom(1, reed=8.0), (Group("a", (ON_A_SHAFT,)),) * ends, sley=repeat)
        lying, sley = lying_of(warp), Sley(repeat)
        assert [lying.dent(end) for end in range(1, ends + 1)] == [sley.dent(end) for end in range(1, ends + 1)]
        assert lying.dents == sley.dent(ends)


def stripes(**first: object) -> Warp:
    """Six ends as the warp, six crammed, six as the warp."""
    a, b, c = (Group(name, (ON_A_SHAFT,) * 6, **more) for name, more in (("a", {}), ("b", first), ("c", {})))  # type: ignore[arg-type]
    return Warp("", Loom(1, reed=10.0), (a, b, c), sley=(2,))


@pytest.mark.parametrize(
    ("more", "held"),
    [
        ({}, [2] * 9),
        ({"sley": (3,)}, [2, 2, 2, 3, 3, 2, 2, 2]),
        ({"empty_before": 2}, [2, 2, 2, 0, 0, 2, 2, 2, 2, 2, 2]),
        ({"sley": (4,), "shares_dent": True}, [2, 2, 2, 4, 4, 2, 2]),
        ({"sley": (4,)}, [2, 2, 2, 4, 2, 2, 2, 2]),
        ({"sley": (1, 0)}, [2, 2, 2, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 2, 2, 2]),
    ],
)
def test_a_stripe_lies_by_its_own_sley(more: dict[str, object], held: list[int]) -> None:
    """By hand."""
    assert [len(ends) for ends in dents_of(lying_of(stripes(**more)))] == held


def test_an_edge_lies_from_its_outermost_end_inwards_on_both_sides() -> None:
    """Nine ends in fours, by hand: 4 4 1 … 1 4 4."""
    body = Group("a", (ON_A_SHAFT,) * 24)
    edge = EdgeSley(9, (4,))
    warp = Warp("", Loom(1, reed=10.0), (body,), sley=(2,), first_edge=edge, last_edge=edge)
    assert [len(held) for held in dents_of(lying_of(warp))] == [4, 4, 1, 2, 2, 2, 1, 4, 4]


def test_floating_ends_have_a_dent_of_their_own() -> None:
    warp = Warp("", Loom(1, reed=10.0), (Group("a", (FLOATING, *(ON_A_SHAFT,) * 4, FLOATING)),), sley=(2,))
    assert dents_of(lying_of(warp)) == [[1], [2, 3], [4, 5], [6]]


def test_groups_that_all_have_a_sley_need_none_of_the_warp() -> None:
    warp = replace(stripes(), sley=(), groups=tuple(replace(group, sley=(3,)) for group in stripes().groups))
    assert [len(held) for held in dents_of(lying_of(warp))] == [3] * 6


def test_a_group_without_any_sley_is_one_clear_line() -> None:
    with pytest.raises(PlanError) as caught:
        in_reed(replace(stripes(sley=(3,)), sley=()))
    assert str(caught.value) == "there is no sley for a; write sley, or sett, for the whole warp in the file"


def test_edges_of_more_ends_than_the_warp_are_one_clear_line() -> None:
    edge = EdgeSley(10, (4,))
    with pytest.raises(PlanError) as caught:
        in_reed(replace(stripes(), first_edge=edge, last_edge=edge))
    assert str(caught.value).startswith("the edges hold more ends than the warp has; look for a wrong number")


def test_a_warp_of_22_inches_begins_11_from_the_centre() -> None:
    """Common practice, no source."""
    warp = Warp("", Loom(1, reed=10.0), (Group("a", (ON_A_SHAFT,) * 440),), sett=20.0)
    lying = lying_of(warp)
    assert (lying.sley, lying.width, start(lying, None).from_centre) == (Sley((2,)), 22, 11)

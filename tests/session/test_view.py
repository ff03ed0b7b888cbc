"""What a screen is told beside the call: what follows, what lies there, what means something now."""

import random

import pytest
from warps import english

from assistant.session.events import Event, Kind
from assistant.session.machine import Session
from assistant.session.place import Place
from assistant.session.view import UNCLOSED, Band, GroupLine, ModeName
from assistant.warp.passes import PASSES
from assistant.warp.sequence import loads

WARP = loads(
    b"""
title: Two
shafts: 4
yarns: {rust: {name: rust silk, colour: "#a4532c"}, mist: {name: mist wool}}
groups:
  - {name: edge, thread: "1 2 3 4 1 2", yarn: rust}
  - {name: stripe, thread: "4 3 2 1", yarn: "2 mist, 2 rust"}
""",
    "two.yaml",
)
RUST, MIST = ("rust silk", "#a4532c"), ("mist wool", "")


class Loom:
    """Presses things."""

    def __init__(self, job: str = "thread") -> None:
        self.session, self.at = Session(WARP, PASSES[job]), 1000.0
        self.press(Kind.SIT_DOWN)

    @property
    def called(self) -> str:
        """The call as it is read."""
        return english(self.session).line(self.session.view().called)

    @property
    def following(self) -> str:
        """The call after it, and before it the group that it opens."""
        view = self.session.view()
        opens = f"{view.following_group}: " if view.following_group else ""
        return opens + english(self.session).line(view.following)

    def press(self, *kinds: Kind, number: int | None = None) -> "Loom":
        for kind in kinds:
            self.at += 3
            self.session.handle(Event(kind, self.at, number))
        return self


def test_the_call_that_follows() -> None:
    loom = Loom()
    assert loom.following == "1, 2"
    loom.press(Kind.NEXT)
    assert loom.following == "stripe: mist wool 4, 3, rust silk 2, 1"
    loom.press(Kind.NEXT)
    assert loom.following == ""  # even? is asked, and what follows hangs on it
    loom.press(Kind.NEXT)
    assert (loom.called, loom.following) == ("mist wool 4, 3, rust silk 2, 1", "")


def test_what_follows_is_what_is_called_next() -> None:
    loom = Loom()
    announced = loom.following
    while loom.session.mode is not ModeName.COMPLETE:
        loom.press(Kind.NEXT)
        if loom.session.mode is ModeName.CALLING:
            assert announced.endswith(loom.called)
            announced = loom.following
    assert announced == ""


def test_a_group_left_open_follows_the_last() -> None:
    loom = Loom().press(*[Kind.NEXT] * 3)  # edge is even
    loom.press(Kind.BACK, Kind.BACK, Kind.BACK)  # and opened again, to its first call
    loom.press(Kind.NEXT)
    assert loom.session.view().group == "edge"
    assert loom.following.startswith("stripe: ")


def test_the_yarns_of_the_call_and_of_every_group() -> None:
    loom = Loom()
    assert loom.session.view().yarns == (Band(*RUST, 4),)
    assert loom.session.view().bands == ((Band(*RUST, 6),), (Band(*MIST, 2), Band(*RUST, 2)))
    assert loom.press(*[Kind.NEXT] * 3).session.view().yarns == (Band(*MIST, 2), Band(*RUST, 2))
    heddles = Loom("heddles").session.view()
    assert heddles.yarns == ()
    assert heddles.bands == loom.session.view().bands


@pytest.mark.parametrize("job", sorted(PASSES.keys() - {"sley"}))  # this warp has no sley plan
def test_what_is_not_offered_changes_nothing(job: str) -> None:
    ways: tuple[list[Kind], ...] = (
        [],
        [Kind.NEXT],
        [Kind.NEXT] * 2,
        [Kind.NEXT, Kind.NEXT, Kind.SHORT],
        [Kind.FINISHED],
        [Kind.FINISHED, Kind.NEXT],
    )
    for way in ways:
        for kind in Kind:
            loom = Loom(job).press(*way)
            before = loom.session.view()
            if kind not in before.offers:
                loom.press(kind)
                assert loom.session.view() == before, (way, kind)


def test_what_can_be_answered_is_offered() -> None:
    assert {Kind.NEXT, Kind.FINISHED, Kind.UNEVEN} <= set(Loom().session.view().offers)
    assert Kind.BACK not in Loom().session.view().offers  # nothing lies before the first call
    assert Kind.BACK in Loom().press(Kind.NEXT).session.view().offers
    assert Kind.NUMBER not in Loom().session.view().offers
    assert Kind.SHORT not in Loom().session.view().offers  # there are further calls in the group
    assert Kind.SHORT in Loom().press(Kind.NEXT).session.view().offers
    off = Loom().press(Kind.NEXT, Kind.NEXT).press(Kind.SHORT, number=1).session.view()
    assert {Kind.FIND, Kind.REDO, Kind.SETTLE} <= set(off.offers)
    assert Kind.FIND not in Loom("wind").press(Kind.FINISHED).session.view().offers
    assert Kind.SETTLE not in Loom().press(*[Kind.NEXT] * 5).session.view().offers  # all is done, and nothing off


def test_every_event_is_a_step_and_a_replay_takes_the_same() -> None:
    loom = Loom().press(Kind.NEXT, Kind.REPEAT, Kind.UNSURE)
    assert loom.session.view().step == loom.session.step == 4
    assert Loom().press(Kind.NEXT, Kind.REPEAT, Kind.UNSURE).session.step == 4


def test_a_view_reckons_anew_only_the_groups_that_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Or a rehearsal would take the square of its groups."""
    reckoned: list[int] = []
    line, groups = Place.line, 200

    def noted(place: Place, group: int) -> GroupLine:
        reckoned.append(group)
        return line(place, group)

    monkeypatch.setattr(Place, "line", noted)
    session = Session(loads(b"{shafts: 4, groups: [{name: stripe, thread: 1..4, times: 200}]}", "many.yaml"))
    for at in range(2 * groups):
        session.handle(Event(Kind.NEXT, float(at)))
        view = session.view()
        assert view.summary == session.place.summary()
    reckoned.clear()
    for back in range(2 * groups):
        session.handle(Event(Kind.BACK, 1000.0 + back))
        session.view()
    assert len(reckoned) <= 6 * groups


def test_what_is_left_is_what_is_not_closed_and_not_counted() -> None:
    session = Session(loads(b"{shafts: 4, groups: [{name: stripe, thread: 1..4, times: 9}]}", "many.yaml"))
    chance = random.Random(7)
    kinds = (Kind.NEXT, Kind.NEXT, Kind.NEXT, Kind.BACK, Kind.FINISHED, Kind.OVER, Kind.NUMBER, Kind.REDO, Kind.SETTLE)
    for at in range(3000):
        session.handle(Event(chance.choice(kinds), float(at), chance.randrange(1, 4)))
        assert session.place.left == sum(g.expected - g.counted for g in session.summary() if g.state in UNCLOSED)


def test_a_number_that_answers_nothing_is_refused_until_the_next_event() -> None:
    loom = Loom().press(Kind.NEXT, Kind.NEXT, Kind.SHORT)
    assert loom.session.view().answers == tuple(range(7))
    assert not loom.session.view().refused
    assert loom.press(Kind.NUMBER, number=9).session.view().refused
    assert loom.session.view().mode is ModeName.COUNTING
    assert not loom.press(Kind.REPEAT).session.view().refused
    assert not loom.press(Kind.NUMBER, number=2).session.view().refused
    assert loom.session.view().mode is ModeName.OFF

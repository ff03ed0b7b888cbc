"""Ends that belong to the next group; another group, looked at and done; groups threaded before the record began."""

import pytest
from warps import session, spoken

from assistant.session.events import Event, Kind, Origin, Sound, Tone
from assistant.session.machine import Session
from assistant.session.view import GroupState
from assistant.warp.passes import SLEY, WIND
from assistant.words.speech import Say

STRIPES = """
{title: Stripes, shafts: 4, reed: 10, sley: [1], groups: [
  {name: edge, thread: '2(1 2 3)'}, {name: rose, thread: '2(4 3 2 1)'}, {name: rim, thread: '3(1 2)'}]}
"""


class AtTheLoom:
    """A session, and what is said in it."""

    def __init__(self, steps: int = 0, text: str = STRIPES):
        self.session: Session = session(text)
        self.events: list[Event] = []
        self("sit down")
        for _ in range(steps):
            self("next")

    def __call__(self, kind: str, number: int | None = None, source: str = "key") -> str:
        event = Event(Kind(kind), 5.0 * len(self.events), number, source)
        self.events.append(event)
        effects = spoken(self.session, event)
        self.toned = [effect.tone for effect in effects if isinstance(effect, Sound)]
        return " ".join(effect.text for effect in effects if isinstance(effect, Say))

    def stands(self) -> str:
        return self.session.mode.value

    def shafts(self) -> list[str]:
        """Of the call that is out."""
        return [str(figure.text) for figure in self.session.view().figures]

    def lines(self) -> list[tuple[str, int, int, str]]:
        return [(line.name, line.counted, line.expected, line.state.value) for line in self.session.summary()]

    def hung(self) -> list[str]:
        """The shafts of every end as they are called from here on to the end of the warp."""
        called: list[str] = []
        for _ in range(60):
            if self.stands() == "complete":
                return called
            if self.stands() == "calling":
                called += self.shafts()
            self("next")
        raise AssertionError(self.stands())

    def replayed(self) -> Session:
        again = session(STRIPES)
        again.replay(self.events)
        return again


ALL = ["1", "2", "3", "1", "2", "3", "4", "3", "2", "1", "4", "3", "2", "1", "1", "2", "1", "2", "1", "2"]


def test_an_end_that_lacks_goes_to_the_next_group_and_is_called_there_first() -> None:
    loom = AtTheLoom(2)
    loom("short", 1)
    assert Kind.PASS_ON in loom.session.view().offers
    said = loom("pass on", source=Origin.VOICE)
    assert said == (
        "edge is even at 5. Its last end goes to rose and is called there first: rose now has 9 ends. "
        "rose, 9 ends: three, four, three, two"
    )
    assert loom.toned == [Tone.EVEN]
    assert loom.lines() == [("edge", 5, 5, "even"), ("rose", 0, 9, "waiting"), ("rim", 0, 6, "waiting")]
    assert [line.passed for line in loom.session.summary()] == [1, 0, 0]
    view = loom.session.view()
    assert (view.done, view.total) == (5, 20)
    assert [sum(band.ends for band in bands) for bands in view.bands] == [5, 9, 6]
    assert loom.replayed().view() == view
    assert loom.hung() == ALL[5:]
    assert loom.session.done == loom.session.total == 20


def test_of_an_end_in_the_hand_it_is_asked_whose_it_is() -> None:
    loom = AtTheLoom(2)
    loom("over", 1)
    asked = loom("pass on")
    assert asked == "If all 6 ends of edge are threaded, say one. If only 5 are, say two."
    assert loom.session.largest_number == 2
    assert loom("back").startswith("edge is off.")
    loom("pass on")
    assert loom("number", 1).startswith(
        "edge is even at 6. The end in your hand is the first of the 8 of rose: its bundle should hold one less. "
        "rose, 8 ends: four, three"
    )
    assert loom.lines()[:2] == [("edge", 6, 6, "even"), ("rose", 0, 8, "waiting")]
    assert loom.session.summary()[0].passed == 1
    assert loom.hung() == ALL[6:]


def test_an_end_in_the_hand_that_is_the_groups_own_last_is_called_in_the_next() -> None:
    loom = AtTheLoom(2)
    for kind, number in (("over", 2), ("pass on", None)):
        loom(kind, number)
    assert loom("number", 2).startswith("edge is even at 4. Its last 2 ends go to rose and are called there first")
    assert loom.lines()[:2] == [("edge", 4, 4, "even"), ("rose", 0, 10, "waiting")]
    assert loom.hung() == ALL[4:]


def test_back_takes_back_what_was_passed_on() -> None:
    loom = AtTheLoom(2)
    loom("short", 2)
    loom("pass on")
    assert loom("back") == "edge is open again. edge: 6 ends. Even?"
    assert loom.lines()[:2] == [("edge", 6, 6, "open"), ("rose", 0, 8, "waiting")]
    assert [line.passed for line in loom.session.summary()] == [0, 0, 0]
    assert loom.session.view().bands == AtTheLoom().session.view().bands
    loom("next")
    assert loom.hung() == ALL[6:]


def test_what_was_passed_on_stays_where_the_next_group_is_begun() -> None:
    loom = AtTheLoom(2)
    for kind, number in (("short", 1), ("pass on", None), ("next", None), ("go to", 1), ("redo", None)):
        loom(kind, number)
    assert loom.lines()[:2] == [("edge", 0, 5, "waiting"), ("rose", 4, 9, "open")]
    assert loom.hung() == [*ALL[:5], *ALL[9:]]


def test_after_the_last_group_there_is_none_to_pass_on_to() -> None:
    loom = AtTheLoom(8)
    assert loom.session.group.name == "rim"
    loom("short", 1)
    assert Kind.PASS_ON not in loom.session.view().offers
    said = loom("pass on")
    assert said.startswith("After rim there is no group, not yet begun, that could take it. rim is off.")
    assert loom.session.group.state is GroupState.OFF


def test_neither_many_ends_nor_those_of_another_job_are_passed_on() -> None:
    loom = AtTheLoom(2)
    loom("over", 10)
    assert Kind.PASS_ON not in loom.session.view().offers
    for job in (WIND, SLEY):
        other = session(STRIPES, job)
        for kind, number in ((Kind.SIT_DOWN, None), (Kind.NEXT, None), (Kind.NEXT, None), (Kind.SHORT, 1)):
            other.handle(Event(kind, 0.0, number))
        assert Kind.PASS_ON not in other.view().offers


def test_another_group_is_looked_at_call_by_call_and_nothing_changes() -> None:
    loom = AtTheLoom(4)
    before = loom.session.place
    assert loom("go to", source=Origin.VOICE) == "To which group, one to 3?"
    assert loom.session.largest_number == 3
    said = loom("number", 1)
    assert said.startswith("edge, 6 of 6. edge, 6 ends: one, two, three, one, Say next to hear on,")
    assert (loom.stands(), loom.session.view().home) == ("looking on", "rose")
    assert loom.shafts() == ["1", "2", "3", "1"]
    assert loom("next") == "two, three"
    assert Kind.BACK in loom.session.view().offers
    assert loom("back") == "edge, 6 ends: one, two, three, one"
    assert Kind.BACK not in loom.session.view().offers
    assert loom("resume") == "Back in rose, at 4 of 8. four, three, two, one"
    after = loom.session.place
    assert (after.groups, after.group, after.mode, after.home) == (before.groups, before.group, before.mode, None)


def test_after_its_last_call_one_is_back() -> None:
    loom = AtTheLoom(4)
    loom("go to", 3)
    loom("next")
    assert loom("next") == "Back in rose, at 4 of 8. four, three, two, one"


def test_a_group_is_threaded_anew_without_undoing_what_follows() -> None:
    loom = AtTheLoom(4)
    loom("go to", 1)
    assert loom("redo", source=Origin.VOICE) == "Begin edge anew? Say next for yes, previous for no."
    assert loom("next").startswith("edge, 6 ends: one, two, three, one")
    assert loom.lines()[:2] == [("edge", 0, 6, "waiting"), ("rose", 4, 8, "open")]
    loom("next")
    assert loom("next") == "edge: 6 ends. Even?"
    assert loom("next") == "Back in rose, at 4 of 8. four, three, two, one"
    assert loom.lines()[:2] == [("edge", 6, 6, "even"), ("rose", 4, 8, "open")]
    assert loom.replayed().view() == loom.session.view()


def test_one_comes_back_from_a_group_that_is_not_done_and_it_is_asked_for_later() -> None:
    loom = AtTheLoom(4)
    for kind, number in (("go to", 1), ("redo", None), ("next", None)):
        loom(kind, number)
    assert loom("resume").startswith("Back in rose, at 4 of 8.")
    assert loom.lines()[0] == ("edge", 4, 6, "open")
    assert loom.hung() == [*ALL[10:], *ALL[4:6]]
    assert all(state == "even" for _, _, _, state in loom.lines())


def test_back_at_the_first_call_of_a_group_gone_to_opens_no_other() -> None:
    loom = AtTheLoom(4)
    loom("go to", 3)
    loom("redo")
    assert loom.shafts() == ["1", "2", "1", "2"]
    loom("back")
    assert (loom.stands(), loom.session.group.name) == ("looking on", "rim")
    assert loom.lines()[1] == ("rose", 4, 8, "open")


def test_a_mistake_is_looked_for_there() -> None:
    loom = AtTheLoom(4)
    loom("go to", 1)
    loom("find")
    assert (loom.stands(), loom.session.group.state) == ("asking", GroupState.EVEN)
    loom("back")
    assert loom.stands() == "looking on"
    loom("find")
    loom("resume")
    assert (loom.stands(), loom.session.group.name) == ("calling", "rose")


def test_from_the_finish_and_into_the_group_in_hand() -> None:
    loom = AtTheLoom(11)
    assert loom.stands() == "complete"
    loom("go to", 2)
    loom("redo")
    loom("resume")
    assert (loom.stands(), loom.session.group.name) == ("calling", "rose")
    assert loom.hung() == ALL[6:14]
    loom = AtTheLoom(4)
    for kind, number in (("go to", 2), ("redo", None)):
        loom(kind, number)
    assert loom.hung() == ALL[6:]


def test_only_a_group_that_is_there_is_gone_to() -> None:
    loom = AtTheLoom(4)
    loom("go to", 9)
    assert loom.stands() == "which group"
    loom("number", 4)
    assert loom.toned == [Tone.UNCLEAR]
    assert loom("back") == "four, three, two, one"


@pytest.mark.parametrize("groups", [1, 2, 3])
def test_groups_threaded_before_are_not_called_and_not_said_to_be_even(groups: int) -> None:
    loom = AtTheLoom()
    begun = session(STRIPES)
    for kind, number in ((Kind.THREADED_BEFORE, groups), (Kind.SIT_DOWN, None)):
        begun.handle(Event(kind, 0.0, number))
    loom.session = begun
    assert [line.state.value for line in begun.summary()] == ["before"] * groups + ["waiting"] * (3 - groups)
    before = sum((6, 8, 6)[:groups])
    assert begun.done == before
    assert (loom.stands() == "complete") == (groups == 3)
    assert loom.hung() == ALL[before:]


def test_only_a_new_record_begins_after_groups_threaded_before() -> None:
    for events in ([(Kind.SIT_DOWN, None)], [(Kind.SIT_DOWN, None), (Kind.NEXT, None)]):
        begun = session(STRIPES)
        for kind, number in (*events, (Kind.THREADED_BEFORE, 2)):
            begun.handle(Event(kind, 0.0, number))
        assert GroupState.BEFORE not in [line.state for line in begun.summary()]

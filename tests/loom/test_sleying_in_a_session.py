"""A weaver sleys in a session, has a group end in the wrong dent, and is asked for the mistake, at a physical reed."""

import random
from dataclasses import replace

import pytest
from reed import LISTED, Hands, Reed

from assistant.finder.reed import ReedAsk, ReedQuestion
from assistant.finder.reed_look import ReedLook
from assistant.session.events import AS_BEFORE, NOT_LOOKED_FOR, Event, Kind
from assistant.session.machine import Session
from assistant.session.modes import search
from assistant.session.rows import from_row, to_row
from assistant.session.telling import prompt
from assistant.session.view import GroupState, ModeName
from assistant.warp.model import Warp
from assistant.warp.passes import SLEY
from assistant.warp.sequence import loads
from assistant.words.language import codes, load
from assistant.words.wording import Wording

HEAD = "shafts: 8, unit: inch, reed: 10, sley: %s, groups: [{name: edge, thread: 3(1 2)}, {name: rose, thread: %s}]"


def warp(sley: str, thread: str = "4(1 2 3 4 1 4 3 2)") -> Warp:
    return loads(f"{{{HEAD % (sley, thread)}}}".encode(), "reed.yaml")


class AtTheReed:
    """Who sleys the second group with a mistake, and tells the truth."""

    def __init__(self, sleyed: Warp, kind: str, rng: random.Random):
        self.session, self.events = Session(sleyed, SLEY), list[Event]()
        self("sit down")
        while self.session.place.group == 0:
            self("next")
        self.to_closing()
        assert self.session.place.begin_search()
        look = self.session.place.begin_search()
        assert isinstance(look, ReedLook)
        self.due = look.sleying
        hands = Hands(list(self.due.due), list(range(1, len(self.due.shafts) + 1)))
        LISTED[kind](hands, rng)
        self.reed: Reed = hands.done(self.due.due, self.due.shafts)

    def __call__(self, kind: str, number: int | None = None) -> None:
        event = self.session.found_by(Event(Kind(kind), float(len(self.events)), number, "key"))
        self.events.append(event)
        self.session.handle(event)

    @property
    def mode(self) -> ModeName:
        """The mode it is in."""
        return self.session.mode

    @property
    def look(self) -> ReedLook:
        look = search(self.session.place.mode)
        assert isinstance(look, ReedLook)
        return look

    def to_closing(self) -> None:
        while self.session.mode is ModeName.CALLING:
            self("next")

    def begin(self) -> None:
        """Where the group ends in another dent, say so; then look for the mistake."""
        if self.reed.over:
            self("over" if self.reed.over > 0 else "short", abs(self.reed.over))
        self("find")

    def answer(self) -> None:
        asked = self.look.question
        assert asked is not None
        match asked.ask:
            case ReedAsk.COUNT:
                self("number", self.reed.count(asked.first, asked.last))
            case ReedAsk.ALONG:
                self("next" if self.reed.along(asked.first, asked.last) else "find")
            case ReedAsk.DENT:
                told = [shaft for end in self.reed.in_dent(asked.first) for shaft in end]
                for shaft in told or [0]:
                    self("number", shaft)
                if told:
                    self("next")

    def find(self) -> None:
        self.begin()
        while self.session.mode is ModeName.ASKING:
            self.answer()


@pytest.mark.parametrize("sley", ["[2]", "[1]", "[2, 0, 3]"])
@pytest.mark.parametrize("thread", ["4(1 2 3 4 1 4 3 2)", "4(1/3 2/4 5 1/4 6 7 2/8)"])
@pytest.mark.parametrize("kind", LISTED)
def test_the_mistake_is_found_sleyed_anew_and_the_group_closed(kind: str, thread: str, sley: str) -> None:
    rng = random.Random(f"{kind} {thread} {sley}")
    loom = AtTheReed(warp(sley, thread), kind, rng)
    for _ in range(4):
        if loom.reed.right():
            break
        loom.find()
        assert loom.mode.value == "found"
        repair = loom.look.choices[0].repair
        loom("next")
        assert loom.mode is ModeName.CALLING
        assert loom.session.group.counted == repair.first - 1
        loom.reed.sley(repair.first, repair.first + repair.taken_out - 1)
        loom.to_closing()
    assert loom.reed.right()
    loom("next")
    assert loom.session.summary()[1].state is GroupState.EVEN


def off(kind: str = "dent skipped") -> AtTheReed:
    loom = AtTheReed(warp("[2]"), kind, random.Random(3))
    loom.begin()
    assert loom.mode.value == "asking"
    return loom


def test_a_skipped_dent_is_named_by_its_number() -> None:
    loom = off()
    while loom.mode is ModeName.ASKING:
        loom.answer()
    empty = loom.reed.dents.index([])
    told = Wording(load("en"), "sley").text(*prompt(loom.session.place))
    assert told.startswith(f"Dent {loom.look.before + 1 + empty} was left empty.")
    assert "when they are out, and they are called anew. Or say a number. 2: leave it" in told
    loom("number", 2)
    assert Wording(load("en"), "sley").text(*prompt(loom.session.place)).startswith("Leave it as it hangs")
    loom("next")
    assert loom.session.summary()[1].state is GroupState.OFF
    assert loom.mode is ModeName.COMPLETE


def test_a_foot_begins_it_and_back_leads_out_of_it() -> None:
    loom = AtTheReed(warp("[2]"), "dent skipped", random.Random(3))
    loom("over", 1)
    loom("uneven")
    assert loom.mode.value == "asking"
    first = loom.look.question
    loom.answer()
    assert loom.look.question != first
    loom("back")
    assert loom.look.question == first
    loom("unsure")
    assert loom.look.question != first
    loom("back")
    loom("back")
    assert loom.mode is ModeName.OFF


def test_where_every_dent_is_right_the_group_is_settled() -> None:
    loom = off()
    loom.reed = Hands(list(loom.due.due), list(range(1, len(loom.due.shafts) + 1))).done(loom.due.due, loom.due.shafts)
    while loom.mode is ModeName.ASKING:
        loom.answer()
    assert "Every dent of rose is as it should be." in Wording(load("en"), "sley").text(*prompt(loom.session.place))
    loom("next")
    assert loom.session.summary()[1].state is GroupState.SETTLED


@pytest.mark.parametrize("kind", LISTED)
def test_what_was_kept_of_it_is_replayed_at_every_step(kind: str) -> None:
    loom = AtTheReed(warp("[2]"), kind, random.Random(7))
    loom.find()
    loom("next")
    loom.to_closing()
    assert any(isinstance(event.about, ReedQuestion) for event in loom.events)
    for upto in range(len(loom.events) + 1):
        lived, replayed = Session(loom.session.warp, SLEY), Session(loom.session.warp, SLEY)
        for event in loom.events[:upto]:
            lived.handle(replace(event, about=None))
        replayed.replay(from_row(to_row(event)) for event in loom.events[:upto])
        assert replayed.place == lived.place


@pytest.mark.parametrize("kind", ["find", "uneven"])
def test_an_event_from_before_it_was_looked_for_does_what_it_did(kind: str) -> None:
    loom = AtTheReed(warp("[2]"), "dent skipped", random.Random(3))
    loom("over", 1)
    loom.session.handle(Event(Kind(kind), 99.0, source=f"key{AS_BEFORE}{NOT_LOOKED_FOR}"))
    assert loom.mode is (ModeName.OFF if kind == "find" else ModeName.CALLING)


def test_no_mistake_is_looked_for_in_a_group_that_is_not_sleyed_to_its_end() -> None:
    session = Session(warp("[2]"), SLEY)
    for kind in ("sit down", "next", "next", "next", "find", "heddle left"):
        session.handle(Event(Kind(kind), 1.0))
    assert session.mode is ModeName.CALLING
    assert {Kind.FIND, Kind.HEDDLE_LEFT, Kind.PASS_ON}.isdisjoint(session.view().offers)


@pytest.mark.parametrize("about", ["dents along,3", "dents x,1,2", "dents along,3,x"])
def test_a_row_that_holds_no_question_is_refused(about: str) -> None:
    with pytest.raises(ValueError, match=r"ReedAsk|literal|unpack"):
        from_row((1e9, "next", None, "key", "", None, about))


@pytest.mark.parametrize("code", codes())
@pytest.mark.parametrize("kind", ["dent skipped", "ends crossed", "end too few"])
def test_all_of_it_has_words(kind: str, code: str) -> None:
    words = Wording(load(code), "sley")
    loom = off(kind)
    while True:
        place = loom.session.place
        captions = [figure.caption for figure in loom.session.view().figures]
        tells = [*prompt(place), *filter(None, captions)]
        assert tells
        assert not any(tell.phrase in words.text(tell) or "{" in words.text(tell) for tell in tells)
        if loom.mode is not ModeName.ASKING:
            break
        loom.answer()

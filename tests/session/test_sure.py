"""What was only heard, and would undo or pass over much, is asked about before it is done."""

import pytest
from warps import session, spoken

from assistant.session.events import Event, Kind, Origin, Sound, Tone
from assistant.session.machine import Session
from assistant.session.view import GroupState, ModeName
from assistant.warp.passes import CHECK
from assistant.words.speech import Say

NO = (Kind.BACK, Kind.UNSURE)


def say(loom: Session, *kinds: Kind, number: int | None = None) -> str:
    """Say these words; what is said to the last."""
    effects = [effect for kind in kinds for effect in spoken(loom, Event(kind, 0.0, number, Origin.VOICE))]
    return [effect.text for effect in effects if isinstance(effect, Say)][-1]


@pytest.fixture
def loom() -> Session:
    """The edge has come out with one end over."""
    loom = session()
    say(loom, Kind.NEXT, Kind.NEXT)
    say(loom, Kind.OVER, number=1)
    assert loom.mode is ModeName.OFF
    return loom


@pytest.mark.parametrize("yes", [Kind.NEXT, Kind.REDO])
def test_a_group_is_begun_anew_only_when_that_is_meant(loom: Session, yes: Kind) -> None:
    assert say(loom, Kind.REDO) == "Begin edge anew? Say next for yes, previous for no."
    assert (loom.mode, loom.group.counted, loom.group.state) == (ModeName.SURE, 5, GroupState.OFF)
    assert say(loom, yes) == "edge, 6 ends: one, two, one, two"
    assert loom.group.counted == 0


@pytest.mark.parametrize("yes", [Kind.NEXT, Kind.SETTLE])
def test_a_group_is_settled_only_when_that_is_meant(loom: Session, yes: Kind) -> None:
    assert say(loom, Kind.SETTLE) == "Is edge right as it is? Say next for yes, previous for no."
    assert say(loom, yes).startswith("edge settled at 6 ends. 1 is left over.")
    assert loom.summary()[0].state is GroupState.SETTLED


@pytest.mark.parametrize("no", NO)
@pytest.mark.parametrize("wish", [Kind.REDO, Kind.SETTLE])
def test_a_word_that_was_not_meant_changes_nothing(loom: Session, wish: Kind, no: Kind) -> None:
    before = loom.view()
    say(loom, wish, no)
    assert loom.view() == before


def test_another_word_is_no_answer(loom: Session) -> None:
    say(loom, Kind.REDO)
    assert Sound(Tone.UNCLEAR) in spoken(loom, Event(Kind.SETTLE, 0.0, source=Origin.VOICE))
    assert loom.mode is ModeName.SURE


@pytest.mark.parametrize("source", ["key", "pedal"])
def test_hand_and_foot_are_believed_at_once(loom: Session, source: str) -> None:
    spoken(loom, Event(Kind.REDO, 0.0, source=source))
    assert (loom.mode, loom.group.counted) == (ModeName.CALLING, 0)


def test_the_foot_may_answer_what_was_heard(loom: Session) -> None:
    say(loom, Kind.REDO)
    spoken(loom, Event(Kind.NEXT, 0.0, source="pedal"))
    assert (loom.mode, loom.group.counted) == (ModeName.CALLING, 0)


def test_a_search_goes_on_where_it_was_when_it_was_not_meant_to_end(loom: Session) -> None:
    asked = say(loom, Kind.FIND)
    assert say(loom, Kind.REDO, Kind.BACK) == asked


def test_at_the_finish_it_is_asked_of_the_first_group_that_is_off(loom: Session) -> None:
    say(loom, Kind.RESUME)
    while loom.mode is not ModeName.COMPLETE:
        say(loom, Kind.NEXT)
    last = loom.group.name
    assert say(loom, Kind.SETTLE).startswith("Is edge right as it is?")
    say(loom, Kind.BACK)
    assert (loom.mode, loom.group.name) == (ModeName.COMPLETE, last)
    say(loom, Kind.SETTLE, Kind.NEXT)
    assert loom.summary()[0].state is GroupState.SETTLED
    assert spoken(loom, Event(Kind.SETTLE, 0.0, source=Origin.VOICE))[0] == Sound(Tone.UNCLEAR)


def test_uneven_said_of_a_difference_read_back_is_asked_too() -> None:
    loom = session(job=CHECK)
    say(loom, Kind.FIND)
    assert loom.mode is ModeName.PARTWAY
    assert say(loom, Kind.UNEVEN).startswith("Begin edge anew?")


def test_a_break_does_not_answer(loom: Session) -> None:
    asked = say(loom, Kind.REDO)
    assert say(loom, Kind.PAUSE, Kind.RESUME) == asked
    spoken(loom, Event(Kind.LEAVE, 0.0))
    spoken(loom, Event(Kind.SIT_DOWN, 0.0))
    assert loom.mode is ModeName.SURE

"""By a numeric keypad alone all can be said that means something, in every mode of every job."""

import random
from itertools import product

import pytest
from on_keypad import OnKeypad, by_hand, pairs
from random_sessions import lived
from random_sessions import warp as any_warp

from assistant.meaning import Tell
from assistant.senses.pedal.keys import Keyboard
from assistant.session.events import NOT_BY_HAND, Event, Kind, Origin
from assistant.session.hints import AT_ONCE, ORDER, WHERE_MEANT
from assistant.session.machine import Session
from assistant.session.modes import ModeName
from assistant.warp.passes import PASSES
from assistant.words.keypad import MEANINGS, keys_for, one_by_one

WALKS, STEPS = 160, 40
ASKED = Event(Kind.HELP, 0.0, source=Origin.KEY)


def test_every_event_of_the_whole_table_has_its_keys() -> None:
    assert {kind for kind, _ in pairs()} - {Kind.NUMBER} == {*MEANINGS.values()}
    assert all(keys_for(kind) for kind in Kind if kind not in (*NOT_BY_HAND, Kind.NUMBER))


@pytest.mark.parametrize(("asked", "shafts"), [(False, 0), (True, 0), (False, 4), (False, 12)])
@pytest.mark.parametrize("unlocked", [False, True], ids=["with Num Lock", "without"])
def test_keys_mean_the_same_whatever_is_asked(asked: bool, shafts: int, unlocked: bool) -> None:
    """What a mode asks for is all that a keyboard knows of it."""
    pad = OnKeypad(unlocked)
    for keys, kind in MEANINGS.items():
        pad.keyboard = Keyboard()
        if len(keys) > 1 or not keys.isdecimal():
            assert [event.kind for event in pad.typed(asked, shafts, one_by_one(keys))] == [kind], keys


def test_a_walk_by_keypad_alone_reaches_and_leaves_every_mode() -> None:
    """But "sure?", which only a voice is asked; what is found, and what is passed on, have tests of their own."""
    reached, left = set[ModeName](), set[ModeName]()
    for seed in range(WALKS):
        chance, pad = random.Random(seed), OnKeypad()
        session = Session(any_warp(chance), PASSES[chance.choice([*PASSES])])
        session.handle(Event(Kind.SIT_DOWN, pad.at))
        for _ in range(STEPS):
            before = session.mode
            kind, number = chance.choice([way for way in by_hand(session) if way[0] in MOVING])
            (event,) = pad.means(session, kind, number)
            assert (event.kind, event.number) == (kind, number)
            session.handle(event)
            reached |= {session.mode}
            left |= {before} if session.mode is not before else set()
    assert reached | OTHERWISE == left | OTHERWISE == {*ModeName}


MOVING = {*Kind} - {Kind.LEAVE, Kind.HELP, Kind.NOTE, Kind.WHERE, Kind.LOUDER, Kind.QUIETER, Kind.FASTER, Kind.SLOWER}
OTHERWISE = {ModeName.SURE, ModeName.FOUND, ModeName.PASSING}


def hinted(session: Session) -> list[Kind]:
    """What is told when it is asked what can be pressed."""
    tells = [effect for effect in session.handle(ASKED) if isinstance(effect, Tell)]
    return [tell.places["press"].kind for tell in tells if tell.phrase == "hint pressed"]


def test_all_that_can_be_pressed_is_told_when_asked_again_and_again() -> None:
    """A few at once, and all of them before any comes again."""
    for seed, job in product(range(3), PASSES):
        session = Session(any_warp(random.Random(seed)), PASSES[job])
        for kind in (Kind.SIT_DOWN, Kind.NEXT, Kind.UNEVEN, Kind.PAUSE):
            session.handle(Event(kind, 0.0))
            able = [hint.kind for hint in session.view().hints]
            rounds = -(-len(able) // AT_ONCE)
            told = [kind for _ in range(rounds) for kind in hinted(session)]
            assert told == able
            assert hinted(session)[0] is able[0]


def test_hints_are_all_that_a_weaver_can_do_there() -> None:
    for session, _, _ in lived(5):
        view = session.view()
        left_out = {*view.offers} - {*NOT_BY_HAND, Kind.HELP} - {hint.kind for hint in view.hints}
        assert {hint.kind for hint in view.hints} <= {*view.offers}
        assert left_out <= {*WHERE_MEANT}
    assert {*ORDER, *NOT_BY_HAND, Kind.HELP} == {*Kind}
    assert len(set(ORDER)) == len(ORDER)


def test_asking_moves_nothing_and_another_event_begins_it_anew() -> None:
    session = Session(any_warp(random.Random(1)))
    session.handle(Event(Kind.SIT_DOWN, 0.0))
    place = session.place
    first = session.handle(ASKED)
    assert (session.place.mode, session.place.groups) == (place.mode, place.groups)
    assert session.handle(ASKED) != first
    session.handle(Event(Kind.WHERE, 0.0))
    assert session.handle(ASKED) == first


def told(session: Session, kind: Kind, number: int | None = None, by: str = Origin.KEY) -> list[str]:
    return [str(getattr(effect, "phrase", "")) for effect in session.handle(Event(kind, 0.0, number, by))]


def test_a_digit_that_is_no_answer_gives_a_short_help() -> None:
    session = Session(any_warp(random.Random(1)))
    session.handle(Event(Kind.SIT_DOWN, 0.0))
    (digit,) = OnKeypad().press(session, "7")
    assert (digit.kind, digit.number) == (Kind.NUMBER, 7)
    assert told(session, digit.kind, digit.number)[1:6] == ["no number", "hints by key", *["hint pressed"] * 3]
    (on,) = OnKeypad().press(session, "0")
    assert on.kind is Kind.NEXT


def test_who_is_not_sure_what_to_say_is_told_where_that_is_no_answer() -> None:
    """A word that the ear has learnt."""
    session = Session(any_warp(random.Random(1)))
    session.handle(Event(Kind.SIT_DOWN, 0.0))
    assert told(session, Kind.UNSURE, by=Origin.VOICE)[1:5] == ["hints by voice", *["hint said"] * 3]
    assert told(session, Kind.HELP, by=Origin.PEDAL)[:3] == ["hints by pedal", *["hint pressed"] * 2]

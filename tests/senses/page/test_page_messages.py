"""What a page sends, and what anybody else might."""

import json

import pytest
from at_the_page import done
from hypothesis import example, given, settings
from hypothesis import strategies as st

from assistant.senses.page.client import (
    BY_HAND,
    LARGEST_NUMBER,
    LARGEST_STEP,
    LONGEST_MESSAGE,
    Played,
    Sense,
    Switched,
    Touched,
    Wish,
    parse,
)
from assistant.session.events import Kind

json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)
near = st.fixed_dictionaries(
    {},
    optional={
        "step": st.integers() | json_values,
        "at": st.integers() | json_values,
        "finger": st.booleans() | json_values,
        "do": st.sampled_from([*BY_HAND, "sit down", "read", "NEXT"]) | json_values,
        "number": st.integers() | json_values,
        "switch": st.text(max_size=8) | json_values,
        "down": st.booleans() | json_values,
        "more": json_values,
    },
)
nearer = st.fixed_dictionaries(
    {
        "step": st.integers(-2, LARGEST_STEP + 2),
        "at": st.integers(-2, LARGEST_STEP + 2),
        "do": st.sampled_from([*BY_HAND, "sit down"]),
        "finger": st.booleans(),
    },
    optional={"number": st.integers(-2, LARGEST_NUMBER + 2)},
)
switched = st.fixed_dictionaries(
    {"step": st.integers(0, 9), "at": st.integers(0, 9), "switch": st.text(max_size=8), "down": st.booleans()}
)
sound = st.fixed_dictionaries(
    {"turn": st.integers(-2, 9)},
    optional={
        "speak": st.booleans() | json_values,
        "listen": st.booleans() | json_values,
        "played": st.integers(-2, 9) | json_values,
        "got": st.integers(-2, 9) | json_values,
    },
)
ours = (near | nearer | switched | sound).map(json.dumps)
damaged = st.tuples(ours, st.integers(0, 60), st.text(max_size=3)).map(lambda m: m[0][: m[1]] + m[2] + m[0][m[1] + 1 :])
messages = st.text(max_size=600) | json_values.map(json.dumps) | ours | damaged


@settings(max_examples=1000, deadline=None)
@given(messages)
@example("[" * LONGEST_MESSAGE)
@example("1" * LONGEST_MESSAGE)
@example('{"step":NaN,"do":"next"}')
@example('{"step":true,"at":1,"do":"next","finger":true}')
@example('{"step":1,"at":1,"do":"next","do":"leave","finger":true}')
def test_whatever_comes_is_one_of_ours_or_nothing(text: str) -> None:
    match parse(text):
        case Touched(step, at, kind, finger, number):
            assert 0 <= min(step, at) <= max(step, at) <= LARGEST_STEP
            assert type(finger) is bool
            assert kind not in (Kind.SIT_DOWN, Kind.READ, Kind.UNCLEAR)
            assert kind is not Kind.NUMBER or number is not None
            assert number is None or (kind in (Kind.NUMBER, Kind.GO_TO) and 0 <= number <= LARGEST_NUMBER)
        case Switched(step, at, key, down):
            assert 0 <= min(step, at) <= max(step, at) <= LARGEST_STEP
            assert (type(key), type(down)) == (str, bool)
        case Wish(sense, on, turn):
            assert (sense in Sense, type(on)) == (True, bool)
            assert 0 <= turn <= LARGEST_STEP
        case Played(turn, samples, got):
            assert 0 <= min(turn, samples, got) <= max(turn, samples, got) <= LARGEST_STEP
        case nothing:
            assert nothing is None


@given(
    st.integers(0, LARGEST_STEP),
    st.booleans(),
    st.sampled_from([kind for kind in BY_HAND.values() if kind is not Kind.NUMBER]),
)
def test_what_is_touched_is_understood(step: int, finger: bool, kind: Kind) -> None:
    assert parse(json.dumps({"step": step, "at": 5, "do": kind, "finger": finger})) == Touched(step, 5, kind, finger)


def test_a_number_and_a_switch_are_understood() -> None:
    at = LARGEST_STEP
    assert parse(done(7, "number", number=12)) == Touched(7, at, Kind.NUMBER, True, 12)
    assert parse(done(7, "go to", number=2, finger=False)) == Touched(7, at, Kind.GO_TO, False, 2)
    assert parse(done(7, "go to")) == Touched(7, at, Kind.GO_TO, True)
    assert parse(done(7, "go to", number=-1)) is None
    assert parse('{"step":7,"at":1,"switch":"pageup","down":false}') == Switched(7, 1, "pageup", False)


def test_what_a_page_tells_of_sound_is_understood() -> None:
    assert parse('{"speak":true,"turn":0}') == Wish(Sense.SPEAK, True)
    assert parse('{"listen":false,"turn":3}') == Wish(Sense.LISTEN, False, 3)
    assert parse('{"played":4,"got":5,"turn":1}') == Played(1, 4, 5)
    assert parse('{"speak":true,"listen":true,"turn":0}') is None
    assert parse('{"played":4,"got":5,"turn":1.0}') is None


@pytest.mark.parametrize(
    "text",
    ["", "null", "{}", '{"step":1,"at":1}', done(-1, "next"), done(1, "next", at=-1), done(1, "number"),
     '{"step":1,"do":"next","finger":true}', '{"step":1,"at":1,"do":"next"}', done(1, "next", at=1.0),
     done(1, "next", number=3), done(1, "sit down"), done(1, "next") + " " * LONGEST_MESSAGE],
)  # fmt: skip
def test_what_no_page_of_ours_sends_is_nothing(text: str) -> None:
    assert parse(text) is None

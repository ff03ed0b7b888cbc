"""What a page sends, and what anybody else might."""

import json

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from assistant.senses.page.client import (
    BY_HAND,
    LARGEST_NUMBER,
    LARGEST_STEP,
    LONGEST_MESSAGE,
    Switched,
    Touched,
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
        "do": st.sampled_from([*BY_HAND, "sit down", "read", "NEXT"]) | json_values,
        "number": st.integers() | json_values,
        "switch": st.text(max_size=8) | json_values,
        "down": st.booleans() | json_values,
        "more": json_values,
    },
)
nearer = st.fixed_dictionaries(
    {"step": st.integers(-2, LARGEST_STEP + 2), "do": st.sampled_from([*BY_HAND, "sit down"])},
    optional={"number": st.integers(-2, LARGEST_NUMBER + 2)},
)
switched = st.fixed_dictionaries({"step": st.integers(0, 9), "switch": st.text(max_size=8), "down": st.booleans()})
ours = (near | nearer | switched).map(json.dumps)
damaged = st.tuples(ours, st.integers(0, 60), st.text(max_size=3)).map(lambda m: m[0][: m[1]] + m[2] + m[0][m[1] + 1 :])
messages = st.text(max_size=600) | json_values.map(json.dumps) | ours | damaged


@settings(max_examples=1000, deadline=None)
@given(messages)
@example("[" * LONGEST_MESSAGE)
@example("1" * LONGEST_MESSAGE)
@example('{"step":NaN,"do":"next"}')
@example('{"step":true,"do":"next"}')
@example('{"step":1,"do":"next","do":"leave"}')
def test_whatever_comes_is_one_of_ours_or_nothing(text: str) -> None:
    match parse(text):
        case Touched(step, kind, number):
            assert 0 <= step <= LARGEST_STEP
            assert kind not in (Kind.SIT_DOWN, Kind.READ, Kind.UNCLEAR)
            assert kind is not Kind.NUMBER or number is not None
            assert number is None or (kind in (Kind.NUMBER, Kind.GO_TO) and 0 <= number <= LARGEST_NUMBER)
        case Switched(step, key, down):
            assert 0 <= step <= LARGEST_STEP
            assert (type(key), type(down)) == (str, bool)
        case nothing:
            assert nothing is None


@given(st.integers(0, LARGEST_STEP), st.sampled_from([kind for kind in BY_HAND.values() if kind is not Kind.NUMBER]))
def test_what_is_touched_is_understood(step: int, kind: Kind) -> None:
    assert parse(json.dumps({"step": step, "do": kind})) == Touched(step, kind)


def test_a_number_and_a_switch_are_understood() -> None:
    assert parse('{"step":7,"do":"number","number":12}') == Touched(7, Kind.NUMBER, 12)
    assert parse('{"step":7,"do":"go to","number":2}') == Touched(7, Kind.GO_TO, 2)
    assert parse('{"step":7,"do":"go to"}') == Touched(7, Kind.GO_TO)
    assert parse('{"step":7,"do":"go to","number":-1}') is None
    assert parse('{"step":7,"switch":"pageup","down":false}') == Switched(7, "pageup", False)


@pytest.mark.parametrize(
    "text",
    ["", "null", "{}", '{"step":1}', '{"step":-1,"do":"next"}', '{"step":1.0,"do":"next"}', '{"step":1,"do":"number"}',
     '{"step":1,"do":"next","number":3}', '{"step":1,"do":"sit down"}',
     '{"step":1,"do":"next"}' + " " * LONGEST_MESSAGE],
)  # fmt: skip
def test_what_no_page_of_ours_sends_is_nothing(text: str) -> None:
    assert parse(text) is None

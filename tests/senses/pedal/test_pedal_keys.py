"""What keys mean."""

import queue

import pytest
from hypothesis import given
from hypothesis import strategies as st
from machine import Machine

from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.keys import BETWEEN_DIGITS, BY_KEY, ENTERED, SHIFTED, Keyboard, LiveKeys
from assistant.session.events import Event, Kind


def typed(*keys: str, apart: float = 1.0, keyboard: Keyboard | None = None) -> list[tuple[Kind, int | None]]:
    """What keys typed one after the other come to."""
    keyboard = keyboard or Keyboard()
    events = [event for n, key in enumerate(keys) for event in keyboard.press(key, 100 + n * apart)]
    return [(event.kind, event.number) for event in events + keyboard.at(1000)]


@pytest.mark.parametrize(
    ("key", "kind"),
    [
        *(("space", Kind.NEXT), ("enter", Kind.NEXT), ("n", Kind.NEXT), ("r", Kind.REPEAT), ("b", Kind.BACK)),
        *(("backspace", Kind.BACK), ("d", Kind.FINISHED), ("u", Kind.UNEVEN), ("s", Kind.SHORT), ("o", Kind.OVER)),
        *(("a", Kind.REDO), ("t", Kind.SETTLE), ("p", Kind.PAUSE), ("g", Kind.RESUME), ("w", Kind.WHERE)),
        *(
            ("m", Kind.NOTE),
            (")", Kind.LOUDER),
            ("(", Kind.QUIETER),
            (">", Kind.FASTER),
            ("<", Kind.SLOWER),
            ("q", Kind.LEAVE),
        ),
    ],
)
def test_a_key_means_its_event_at_once(key: str, kind: Kind) -> None:
    assert Keyboard().press(key, 10) == [Event(kind, 10, source="key")]


@pytest.mark.parametrize("key", ["x", "escape", "f1", "tab", "ctrl+x", "", "é"])
def test_other_keys_mean_nothing(key: str) -> None:
    keyboard = Keyboard()
    assert keyboard.press(key, 10) + keyboard.at(20) == []


def test_p_means_pause_again_and_again() -> None:
    assert typed("p", "p") == [(Kind.PAUSE, None), (Kind.PAUSE, None)]


def test_digits_typed_together_are_one_number_told_when_no_more_come() -> None:
    keyboard = Keyboard()
    assert keyboard.press("1", 10) + keyboard.press("4", 10.5) == []
    assert keyboard.due is not None
    assert keyboard.at(10.5 + BETWEEN_DIGITS - 0.01) == []
    assert keyboard.at(12) == [Event(Kind.NUMBER, 10.5 + BETWEEN_DIGITS, 14, "key")]
    assert keyboard.at(20) == []


def test_enter_ends_a_number_at_once_and_means_nothing_else() -> None:
    keyboard = Keyboard()
    keyboard.press("3", 10)
    assert keyboard.press("enter", 10.2) == [Event(Kind.NUMBER, 10.2, 3, "key")]


def test_digits_apart_are_numbers_of_their_own() -> None:
    assert typed("1", "2", apart=2) == [(Kind.NUMBER, 1), (Kind.NUMBER, 2)]


def test_the_same_digit_twice_counts_twice() -> None:
    assert typed("1", "1", apart=0.2) == [(Kind.NUMBER, 11)]
    assert typed("1", "1", "2", apart=0.2) == [(Kind.NUMBER, 112)]
    assert typed("2", "2", "enter", apart=0.1) == [(Kind.NUMBER, 22)]


def test_backspace_takes_a_digit_back() -> None:
    assert typed("1", "7", "backspace", "2", apart=0.3) == [(Kind.NUMBER, 12)]
    assert typed("1", "backspace", apart=0.3) == []


def test_another_key_ends_a_number() -> None:
    assert typed("2", "s", apart=0.3) == [(Kind.NUMBER, 2), (Kind.SHORT, None)]


def test_a_digit_held_down_counts_once_and_no_number_is_endless() -> None:
    assert typed(*["7"] * 40, apart=0.033) == [(Kind.NUMBER, 7)]
    assert typed(*"123456789", apart=0.1) == [(Kind.NUMBER, 123456)]


@pytest.mark.parametrize("key", ["space", "n", "b", "+", "."])
def test_a_held_key_is_one_event(key: str) -> None:
    keyboard = Keyboard()
    arrivals = [10, *(10.5 + n * 0.033 for n in range(60))]
    events = [event for at in arrivals for event in keyboard.press(key, at)] + keyboard.at(20)
    assert [event.kind for event in events] == [BY_KEY[key]]


def test_a_second_deliberate_press_is_an_event() -> None:
    assert typed("space", "space", "space", apart=0.3) == [(Kind.NEXT, None)] * 3


def test_events_keep_the_order_of_the_keys() -> None:
    keys = ("n", "n", "b", "r", "r", "n")
    assert [kind for kind, _ in typed(*keys, apart=0.1)] == [BY_KEY[key] for key in keys]


def reading(shafts: int, keyboard: Keyboard | None = None) -> Keyboard:
    keyboard = keyboard or Keyboard()
    keyboard.reading(shafts)
    return keyboard


def test_where_ends_are_read_each_digit_is_one_up_to_nine_shafts() -> None:
    keyboard = reading(9)
    assert keyboard.press("1", 10) == [Event(Kind.NUMBER, 10, 1, "key")]
    assert typed("1", "2", "0", "3", apart=0.2, keyboard=reading(4)) == [(Kind.NUMBER, n) for n in (1, 2, 0, 3)]
    assert typed("3", "3", "3", apart=0.2, keyboard=reading(4)) == [(Kind.NUMBER, 3)] * 3
    assert typed("2", "enter", "backspace", "*", apart=0.5, keyboard=reading(4)) == [
        *((Kind.NUMBER, 2), (Kind.NEXT, None)),
        *((Kind.BACK, None), (Kind.BACK, None)),
    ]


def test_with_more_shafts_a_point_ends_each_however_long_the_weaver_looks() -> None:
    assert typed("1", "2", ".", "3", ".", "1", ".", apart=5, keyboard=reading(12)) == [
        *((Kind.NUMBER, 12), (Kind.NUMBER, 3), (Kind.NUMBER, 1)),
    ]
    assert typed("1", ",", "2", "enter", "enter", keyboard=reading(12)) == [
        *((Kind.NUMBER, 1), (Kind.NUMBER, 2), (Kind.NEXT, None)),
    ]
    assert typed("1", "backspace", "2", ".", "backspace", keyboard=reading(12)) == [
        *((Kind.NUMBER, 2), (Kind.BACK, None)),
    ]


def test_a_line_of_shafts_is_a_row() -> None:
    def rows(line: str, shafts: int) -> list[tuple[int, ...]]:
        return [event.row for event in reading(shafts, Keyboard(held=False)).press(line, 10)]

    assert rows("1 2 4 3", 4) == rows("1243", 4) == rows("12.43", 4) == [(1, 2, 4, 3)]
    assert rows("1 12 3.10", 12) == [(1, 12, 3, 10)]
    assert rows("12", 12) == [(12,)]
    assert rows("..", 4) == []


def test_when_nothing_is_read_any_longer_digits_are_numbers_again() -> None:
    keyboard = reading(4)
    keyboard.reading(0)
    assert typed("1", "2", apart=0.2, keyboard=keyboard) == [(Kind.NUMBER, 12)]


def test_a_pedal_that_types_keys_stays_one_beside_the_digits() -> None:
    keyboard = reading(4, Keyboard({"pagedown": Role.NEXT, "b": Role.BACK}))
    events = keyboard.press("3", 10) + keyboard.press("pagedown", 12) + keyboard.press("b", 14) + keyboard.at(20)
    assert [(event.kind, event.number, event.source) for event in events] == [
        *((Kind.NUMBER, 3, "key"), (Kind.NEXT, None, "pedal")),
        (Kind.BACK, None, "pedal"),
    ]


def test_lines_cannot_be_held_so_every_one_counts() -> None:
    lines = Keyboard(held=False)
    assert typed("n", "n", "12", "n", apart=0, keyboard=lines) == [
        *((Kind.NEXT, None), (Kind.NEXT, None)),
        *((Kind.NUMBER, 12), (Kind.NEXT, None)),
    ]


def test_the_keys_of_a_pedal_are_gestures_and_the_others_stay_keys() -> None:
    keyboard = Keyboard({"b": Role.ONE})
    events = keyboard.press("b", 10) + keyboard.press("r", 12) + keyboard.press("b", 14) + keyboard.press("b", 14.3)
    assert [(event.kind, event.source) for event in events + keyboard.at(20)] == [
        *((Kind.NEXT, "pedal"), (Kind.REPEAT, "key"), (Kind.REPEAT, "pedal")),
    ]


def test_a_number_is_pressed_out_with_the_pedal_or_typed() -> None:
    keyboard = Keyboard({"pagedown": Role.NEXT})
    keyboard.counting(True)
    assert typed("pagedown", "pagedown", keyboard=keyboard) == [(Kind.NUMBER, 2)]
    assert typed("4", keyboard=keyboard) == [(Kind.NUMBER, 4)]


@given(st.lists(st.tuples(st.sampled_from(["space", "b", "7", "12", "enter", "x", "pagedown"]), st.floats(0, 3))))
def test_whatever_is_typed_comes_to_rest(keys: list[tuple[str, float]]) -> None:
    keyboard, now = Keyboard({"pagedown": Role.ONE}), 0.0
    for key, later in keys:
        now += later
        keyboard.press(key, now)
    keyboard.at(now + 10)
    assert keyboard.due is None


def test_live_keys_end_a_number_by_themselves_and_let_nothing_pressed_be_lost() -> None:
    events: queue.Queue[Event] = queue.Queue()
    keys = LiveKeys(Keyboard(), events.put)
    keys.start()
    keys.press("2", 0.0)
    assert events.get(timeout=30).number == 2
    for key in ("n", "r", "b"):
        keys.press(key, 0.0)
    keys.close()
    assert [events.get_nowait().kind for _ in range(3)] == [Kind.NEXT, Kind.REPEAT, Kind.BACK]


def test_live_keys_count_with_the_pedal_when_a_number_is_asked_for() -> None:
    events: queue.Queue[Event] = queue.Queue()
    keys = LiveKeys(Keyboard({"b": Role.NEXT}), events.put)
    keys.start()
    keys.press("b", 60.0)
    keys.counting(True)
    keys.press("b", 58.0)
    keys.press("b", 57.0)
    assert [(event.kind, event.number) for event in (events.get(timeout=30), events.get(timeout=30))] == [
        *((Kind.NEXT, None), (Kind.NUMBER, 2)),
    ]
    keys.close()


@pytest.mark.parametrize("set_by", [-3600, 3600, -2e9])
def test_the_next_press_counts_whatever_the_clock_is_set_to(set_by: float) -> None:
    """Set back by an hour, the press looked like a bounce of one to come, and was swallowed."""
    machine, events = Machine(), queue.Queue[Event]()
    keys = LiveKeys(Keyboard({"b": Role.NEXT}), events.put, machine.clock)
    keys.start()
    for key, kind in (("n", Kind.NEXT), ("b", Kind.NEXT), ("n", Kind.NEXT)):
        machine.passes(10, set_by)
        keys.press(key, 0.0)
        assert events.get(timeout=30).kind is kind
    keys.close()


def asked(on: bool) -> Keyboard:
    keyboard = Keyboard()
    keyboard.counting(on)
    return keyboard


def test_a_number_that_took_itself_needs_no_enter_and_one_that_comes_is_no_answer_to_what_is_asked_next() -> None:
    keyboard = asked(True)
    assert typed("3", keyboard=keyboard) == [(Kind.NUMBER, 3)]
    keyboard = asked(True)
    events = keyboard.press("3", 10) + keyboard.press("enter", 10 + BETWEEN_DIGITS + ENTERED - 0.1)
    assert [event.kind for event in events + keyboard.press("enter", 15)] == [Kind.NUMBER, Kind.NEXT]


def test_the_key_that_gives_the_next_another_meaning_holds_a_while() -> None:
    assert typed("/", "7", "7", keyboard=asked(False)) == [(Kind.FINISHED, None), (Kind.NUMBER, 7)]
    assert typed("/", "/", "/", "enter") == [(Kind.LEAVE, None)]
    assert typed("/", "0", apart=SHIFTED + 1, keyboard=asked(False)) == [(Kind.NEXT, None)]
    assert typed("1", "/", "2", keyboard=asked(True)) == [(Kind.NUMBER, 1), (Kind.OVER, None)]


def test_what_no_keys_mean_asks_what_can_be_pressed() -> None:
    assert typed("/", "enter") == typed("/", "/", "7") == typed("/", "x") == [(Kind.HELP, None)]


def test_a_presenter_goes_on_and_back_without_a_lesson() -> None:
    assert typed("pagedown", "right", "down", keyboard=asked(False)) == [(Kind.NEXT, None)] * 3
    assert typed("pageup", "left", "up", keyboard=asked(False)) == [(Kind.BACK, None)] * 3


def test_arrows_are_digits_where_a_number_is_asked_for_unless_a_presenter_sends_them() -> None:
    """A terminal that does not tell them apart."""
    assert typed("down", "pagedown", "enter", keyboard=asked(True)) == [(Kind.NUMBER, 23)]
    keyboard = asked(False)
    assert typed("pagedown", keyboard=keyboard) == [(Kind.NEXT, None)]
    keyboard.counting(True)
    assert [event.number for event in [*keyboard.press("pagedown", 2000), *keyboard.at(2010)]] == [1]
    assert [
        event.number for event in [*keyboard.press("end", 2020), *keyboard.press("down", 2021), *keyboard.at(2030)]
    ] == [12]


def test_a_taught_pedal_keeps_its_keys() -> None:
    keyboard = Keyboard({"pagedown": Role.REPEAT})
    keyboard.counting(False)
    assert typed("pagedown", "pageup", keyboard=keyboard) == [(Kind.REPEAT, None), (Kind.BACK, None)]


def test_on_lines_of_their_own_keys_pressed_together_stand_together() -> None:
    lines = Keyboard(held=False)
    assert typed("/7", "//enter", "+", "0", keyboard=lines) == [
        *((Kind.FINISHED, None), (Kind.LEAVE, None)),
        *((Kind.REPEAT, None), (Kind.NUMBER, 0)),
    ]
    assert [event.kind for event in reading(4, Keyboard(held=False)).press("/7", 10)] == [Kind.FINISHED]

"""The words around the figures."""

from dataclasses import replace

import pytest
from at_the_loom import (
    ASKING,
    CALLING,
    CLOSING,
    COUNTING,
    EVERY,
    FINISHED,
    FOUND,
    GOING,
    HEDDLES,
    LAST_CALL,
    OFF,
    PARTWAY,
    PASSING,
    PAUSED,
    THERE,
    WELL,
    WHICH,
    WORDS,
    called,
    figure,
    items,
)
from hypothesis import given
from hypothesis import strategies as st

from assistant.meaning import Tell
from assistant.senses.screen.letters import apart, centred, flowed
from assistant.senses.screen.words import ScreenWords
from assistant.session.view import GroupLine, GroupState, ModeName, Status, Time, View
from assistant.warp.passes.pace import estimated
from assistant.words.columns import columns, padded, shortened
from assistant.words.language import load

HOUR = 3600


@pytest.mark.parametrize(
    ("seconds", "told"),
    [
        *((0, "less than 1 min"), (59, "less than 1 min"), (60, "about 1 min"), (100, "about 2 min")),
        *((9 * 60, "about 9 min"), (11 * 60, "about 10 min"), (33 * 60, "about 35 min"), (57 * 60, "about 55 min")),
        *((58 * 60, "about 1 h"), (HOUR, "about 1 h"), (1.2 * HOUR, "about 1 h 10 min")),
        *((11_500, "about 3 h 10 min"), (7.95 * HOUR, "about 8 h"), (30 * HOUR, "about 30 h")),
    ],
)
def test_an_estimate_is_told_no_finer_than_it_is(seconds: float, told: str) -> None:
    assert estimate(seconds) == told


@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_a_longer_time_never_sounds_shorter(one: float, other: float) -> None:
    assert (minutes(estimate(one)) <= minutes(estimate(other))) or one > other


def estimate(seconds: float) -> str:
    """In words."""
    told = estimated(seconds)
    return WORDS.text(told.phrase, **told.places)


def minutes(told: str) -> int:
    """Back from words: "about 3 h 10 min" is 190."""
    if told.startswith("less"):
        return 0
    value = {unit: int(number) for number, unit in zip(told.split()[1::2], told.split()[2::2], strict=True)}
    return 60 * value.get("h", 0) + value.get("min", 0)


def test_what_the_estimate_rests_on_is_told() -> None:
    assert WORDS.time_left(CALLING) == "about 3 h 10 min left, by your own pace"
    assert (
        WORDS.time_left(replace(CALLING, left=Time("thread", 11_500, own=False)))
        == "about 3 h 10 min left, by common practice"
    )
    assert WORDS.time_left(replace(CALLING, left=Time("thread", 0.0, own=True))) == ""


@pytest.mark.parametrize(
    ("hears", "speaks", "told"),
    [
        (True, True, "hears you, speaks"),
        (True, False, "hears you, is silent"),
        (False, True, "does not hear, speaks"),
        (False, False, "does not hear, is silent"),
    ],
)
def test_whether_it_hears_and_speaks_is_told_in_words(hears: bool, speaks: bool, told: str) -> None:
    assert WORDS.senses(Status(hears, speaks)) == told


def test_what_was_heard_and_noticed() -> None:
    assert (WORDS.heard(WELL), WORDS.notice(WELL)) == ("heard: next", "")
    silent = Status(False, False, notices=(Tell("silent", why="no voice"), Tell("no microphone")))
    assert (WORDS.heard(silent), WORDS.notice(silent)) == ("", "note: silent: no voice; the microphone is gone")
    assert ScreenWords(load("de")).notice(silent) == "Hinweis: stumm: no voice; das Mikrofon ist weg"
    lacking = Status(True, True, notices=(Tell("too few heddles", shaft=3, needed=220, counted=219, count=1),))
    german = "Hinweis: Schaft 3 braucht 220 Litzen, der Webstuhl hat 219: es fehlt 1"
    assert ScreenWords(load("de")).notice(lacking) == german


@pytest.mark.parametrize(
    ("view", "afar"),
    [
        (CALLING, "1 2 3 4"),
        (called(figure("3/7"), figure("12")), "3/7 12"),
        (CLOSING, "EVEN?"),
        (WHICH, "1 SHORT 2 OVER"),
        (COUNTING, "HOW MANY?"),
        (PARTWAY, "OFF"),
        (LAST_CALL, "HOW FAR?"),
        (OFF, "2 SHORT"),
        (replace(OFF, counted=21, over=3), "3 OVER"),
        (replace(OFF, counted=5, compares=True), "AFTER END 5"),
        (HEDDLES, "WHICH SHAFT?"),
        (PASSING, "1 ALL 2 FEWER"),
        (GOING, "WHICH GROUP?"),
        (THERE, "3 1"),
        (ASKING, "18?"),
        (FOUND, "20"),
        (replace(FOUND, figures=()), "FOUND"),
        (replace(OFF, counted=24), "OFF"),
        (PAUSED, "PAUSED"),
        (FINISHED, ""),
    ],
)
def test_what_is_read_from_afar(view: View, afar: str) -> None:
    assert " ".join(piece.text for piece in WORDS.from_afar(view)) == afar


def test_every_state_is_told_from_the_others_without_colour() -> None:
    afar = {tuple(piece.text for piece in WORDS.from_afar(view)) for view in EVERY.values()}
    assert len(afar) == len(ModeName)


def test_what_stands_under_the_figures() -> None:
    view = called(figure("1", "999 flax"), figure("2", "1000"))
    assert [piece.caption for piece in WORDS.from_afar(view)] == ["999 flax", "1000"]


def test_the_call_in_one_sentence() -> None:
    view = called(figure("1"), figure("3/7"))
    assert WORDS.said(view) == "stripe 4, ends 15 to 16 of 24: 1, 3/7"
    assert WORDS.said(called(figure("1"))) == "stripe 4, end 15 of 24: 1"
    counted = replace(view, unit="heddle", called=items("shaft 3: 2."))
    assert WORDS.said(counted) == "stripe 4, heddles 15 to 16 of 24: shaft 3: 2"
    assert WORDS.said(PAUSED) == "Paused."


def test_which_numbers_may_answer_is_said_before_the_question() -> None:
    asked = replace(COUNTING, answers=tuple(range(29)), refused=True)
    assert WORDS.said(asked) == "0 to 28 can answer here. How many ends were missing?"
    assert WORDS.said(replace(CALLING, answers=(), refused=True)).startswith("No number answers here.")


def test_what_was_read_is_said_and_what_is_asked_for_again() -> None:
    read = replace(CALLING, reads=True, taken=(Tell("Right up to end 14: 1 2."),))
    assert WORDS.said(read) == "Right up to end 14: 1 2."
    assert WORDS.said(replace(read, again=True, prompt=(Tell("Read end 15 again."),))) == "Read end 15 again."


def test_a_count_that_is_off_is_said_first() -> None:
    assert WORDS.asked(OFF) == "COUNT OFF: Thread it again, say that it is right, or go on."
    assert WORDS.asked(CLOSING) == "All 24 ends of stripe 4 are called. Did they come out even?"


def test_a_warp_with_more_ends_counted_than_expected_is_full() -> None:
    over = replace(CALLING, done=1003)
    assert WORDS.warp_count(over) == "1,003 of 1,000 ends, 100 %"


@given(st.integers(1, 2000), st.integers(1, 2000))
def test_the_count_is_full_only_when_all_is_done(total: int, done: int) -> None:
    done = min(done, total)
    assert ("100 %" in WORDS.warp_count(replace(CALLING, done=done, total=total))) == (done == total)


def test_the_groups_closed_are_told_with_how_they_stand() -> None:
    assert WORDS.closed(FINISHED) == "40 of 40 groups closed, 1 off, 1 settled, 38 even"
    assert WORDS.closed(CALLING) == "0 of 12 groups closed"
    assert WORDS.closed(replace(FINISHED, compares=True)).endswith("38 checked")


def test_the_list_of_groups_at_the_end() -> None:
    lines = (
        GroupLine("right edge", 6, 6, GroupState.EVEN),
        GroupLine("stripe", 240, 238, GroupState.OFF),
        GroupLine("왼쪽", 6, 6, GroupState.SETTLED, 1),
        GroupLine("edge", 6, 6, GroupState.SETTLED),
    )
    view = replace(FINISHED, summary=lines, groups=4, done=257, total=258)
    assert WORDS.table(view) == [
        "        group       expected  counted  state",
        "     1  right edge         6        6  even",
        "!    2  stripe           240      238  OFF, 2 short",
        "     3  왼쪽               6        6  settled, 1 over",
        "     4  edge               6        6  settled",
    ]
    assert WORDS.table(replace(view, compares=True))[1].endswith("  checked")
    assert WORDS.total(view) == "257 of 258 ends counted in 4 groups; OFF: group 2"
    assert WORDS.total(replace(view, summary=lines[:1])).endswith("no group is off")


text = st.text(st.sampled_from("ab 가…"), max_size=30)


@given(text, text, st.integers(1, 40))
def test_texts_are_made_to_measure_in_columns(left: str, right: str, width: int) -> None:
    assert columns(shortened(left, width)) <= width
    assert columns(padded(left, width)) == width
    assert columns(centred(shortened(left, width), width)) == width
    assert columns(apart(left, right, width)) == width
    assert all(columns(line) <= width for line in flowed(left.split(), " ", width))


@given(st.lists(st.text("ab", min_size=1, max_size=5)), st.integers(5, 20))
def test_flowing_text_loses_no_word(parts: list[str], width: int) -> None:
    assert " ".join(flowed(parts, " ", width)).split() == parts


def test_where_two_texts_do_not_find_room_the_left_one_gives_way() -> None:
    assert apart("Hearth runner", "speaks", 15) == "Hearth … speaks"
    assert apart("Hearth", "hears you, speaks", 10) == "hears you…"

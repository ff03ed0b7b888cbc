"""What the helper does, as the weaver meets it."""

import pytest
from warps import english, session, spoken

from assistant.session.events import Adjust, Event, Kind, Knob, Sound, Stop, Tone
from assistant.session.modes import MODES, ModeName
from assistant.session.rules import EVERYWHERE, TABLE
from assistant.warp.passes.pace import Time
from assistant.words.speech import Say


class AtTheLoom:
    """A session with a clock that moves on by itself."""

    def __init__(self, text: str | None = None):
        self.session = session(text) if text else session()
        self.now = 0.0
        self("sit down")

    def __call__(self, *kinds: str | int) -> str:
        """Let these happen, a number standing for itself; what is said to the last one, tones in brackets."""
        for kind in kinds:
            self.now += 10
            meant, number = (Kind.NUMBER, kind) if isinstance(kind, int) else (Kind(kind), None)
            self.effects = spoken(self.session, Event(meant, self.now, number))
        return " ".join(
            effect.text if isinstance(effect, Say) else f"[{effect.tone}]"
            for effect in self.effects
            if isinstance(effect, Say | Sound)
        )

    def states(self) -> list[str]:
        return [group.state.value for group in self.session.summary()]

    def counts(self) -> list[int]:
        return [group.counted for group in self.session.summary()]


@pytest.fixture
def loom() -> AtTheLoom:
    return AtTheLoom()


def test_sitting_down_names_the_warp_the_group_and_the_first_call() -> None:
    loom = AtTheLoom()
    said = spoken(loom.session, Event(Kind.REPEAT, 5.0))
    assert isinstance(said[0], Say)
    assert said[0].text == "edge, 6 ends: one, two, one, two"


def test_calls_stop_at_the_end_of_the_group(loom: AtTheLoom) -> None:
    assert loom("next") == "one, two"
    assert loom("next") == "edge: 6 ends. Even?"


def test_an_even_group_closes_with_a_tone_and_the_next_one_begins(loom: AtTheLoom) -> None:
    said = loom("next", "next", "next")
    assert said == "[even] rose 1, 12 ends: one, two, three, four"
    assert loom.states() == ["even", "waiting", "waiting"]


def test_the_whole_warp_comes_out(loom: AtTheLoom) -> None:
    said = loom(*["next"] * (3 + 4 + 4))
    assert said == "[even] All 30 ends are threaded, in 3 groups. No group is off."
    assert loom.session.mode is ModeName.COMPLETE
    assert loom.counts() == [6, 12, 12]
    assert loom("next") == "Test runner is threaded, and saved."
    assert Stop() in loom.effects


def test_ends_used_up_too_early_are_an_alert_at_once(loom: AtTheLoom) -> None:
    loom("next", "next", "next", "next")
    said = loom("finished")
    assert said == "[off] rose 1 is off: the ends are used up. How many ends of the last call are threaded?"
    assert loom.states()[1] == "off"
    assert loom.session.largest_number == 4
    assert "6 of 12, 6 ends short" in loom(2)
    assert loom.session.largest_number == 0
    assert loom.counts()[1] == 6
    assert loom.states()[1] == "off"


def test_one_switch_is_enough_to_thread_a_group_again(loom: AtTheLoom) -> None:
    loom("next", "next", "next", "next", "uneven")
    assert loom("uneven").startswith("rose 1, 12 ends")


def test_more_of_a_call_than_was_called_is_not_believed(loom: AtTheLoom) -> None:
    loom("next", "next", "next", "finished")
    assert loom(5).startswith("[unclear]")
    assert loom.counts()[1] == 0


def test_used_up_with_the_last_call_goes_to_the_closing_question(loom: AtTheLoom) -> None:
    loom("next")
    assert loom("finished") == "How many ends of the last call are threaded?"
    assert loom.states()[0] == "open"
    assert loom("next") == "edge: 6 ends. Even?"
    assert loom("finished").startswith("[even]")


def test_used_up_inside_the_last_call_asks_how_far_before_anything_is_called_off(loom: AtTheLoom) -> None:
    asked = loom("next", "finished")
    assert loom("finished") == asked
    assert loom("back") == "one, two"
    assert loom("finished", 1).startswith("[off] edge is off. 5 of 6, 1 end short.")
    assert (loom.states()[0], loom.counts()[0]) == ("off", 5)
    assert loom("back") == "edge is open again. two"
    assert loom("finished", 1).startswith("[even] rose 1, 12 ends")
    assert (loom.states()[0], loom.counts()[0]) == ("even", 6)


def test_used_up_with_ends_left_over_closes_the_group_off(loom: AtTheLoom) -> None:
    loom("next", "finished", "over")
    assert loom(1).startswith("[off] edge is off. 5 of 6 threaded, 1 left over.")


@pytest.mark.parametrize(("word", "number", "counted"), [("short", 2, 4), ("over", 3, 3)])
def test_closing_short_or_over_marks_the_group_off(loom: AtTheLoom, word: str, number: int, counted: int) -> None:
    loom("next", "next", word)
    assert loom(number).startswith("[off] edge is off.")
    assert loom.counts()[0] == counted
    assert loom.states()[0] == "off"


def test_over_may_be_said_while_the_last_call_is_out(loom: AtTheLoom) -> None:
    loom("next", "over")
    assert loom.session.mode is ModeName.COUNTING
    loom(1)
    assert loom.session.group.as_json() == {
        "name": "edge", "expected": 6, "counted": 5, "left_over": 1, "state": "off",
    }  # fmt: skip
    assert loom.session.done == 5


def test_more_left_over_than_a_group_has_was_no_mistake_in_it(loom: AtTheLoom) -> None:
    loom("next", "over", 30)
    assert (loom.session.group.counted, loom.session.group.over) == (6, 30)


def test_a_pedal_answers_short_or_over_by_one_or_two_presses(loom: AtTheLoom) -> None:
    assert "say one" in loom("next", "next", "uneven")
    assert loom(2) == "How many ends are left over?"
    assert loom(1).startswith("[off]")


def test_more_short_than_the_group_has_is_asked_again(loom: AtTheLoom) -> None:
    loom("next", "next", "short")
    assert loom(7) == "[unclear] How many ends are missing?"
    assert loom(0) == "edge: 6 ends. Even?"


def test_a_group_off_is_threaded_again(loom: AtTheLoom) -> None:
    loom("next", "next", "over", 1)
    assert loom("redo") == "edge, 6 ends: one, two, one, two"
    assert loom.counts()[0] == 0
    loom("next", "next", "next")
    assert loom.states()[0] == "even"


def test_a_group_off_is_settled_by_the_weavers_word(loom: AtTheLoom) -> None:
    loom("next", "next", "over", 1)
    assert loom("settle").startswith("edge settled at 6 ends. 1 is left over. rose 1")
    assert (loom.states()[0], loom.counts()[0]) == ("settled", 6)


def test_a_settled_group_hangs_as_it_should_though_its_ends_ran_out_early(loom: AtTheLoom) -> None:
    loom(*["next"] * 4, "finished", 2)
    assert loom("settle").startswith("rose 1 settled at 12 ends. rose 2")
    assert (loom.states()[1], loom.counts()[1], loom.session.done) == ("settled", 12, 18)
    assert loom("back") == "rose 1 is open again. one, two"
    assert (loom.counts()[1], loom.session.done) == (6, 12)


def test_a_group_left_off_is_told_at_the_finish_and_settled_there(loom: AtTheLoom) -> None:
    loom("next", "next", "short", 1)
    assert loom("next").startswith("[unclear] edge is off.")
    assert loom("resume").startswith("rose 1")
    said = loom(*["next"] * 8)
    assert "1 group is off: edge, 5 of 6, 1 short." in said
    assert loom("settle").endswith("1 group was settled by your word. No group is off.")
    assert loom.states() == ["settled", "even", "even"]


def test_a_group_left_off_is_threaded_again_from_the_finish(loom: AtTheLoom) -> None:
    loom("next", "next", "short", 1, "resume", *["next"] * 8)
    assert loom("redo").startswith("edge, 6 ends")
    assert loom("next", "next", "next").endswith("No group is off.")


def test_back_goes_through_the_calls_of_a_group(loom: AtTheLoom) -> None:
    assert loom("next", "back") == "edge, 6 ends: one, two, one, two"
    assert loom("back").startswith("[unclear] This is the first call.")
    assert loom("next", "next", "back") == "one, two"


def test_back_into_a_closed_group_reopens_it(loom: AtTheLoom) -> None:
    loom("next", "next", "next")
    assert loom("back") == "edge is open again. edge: 6 ends. Even?"
    assert loom.states()[0] == "open"
    assert loom("back") == "one, two"


def test_back_into_a_group_closed_too_early_returns_to_its_call(loom: AtTheLoom) -> None:
    loom("next", "next", "next", "next", "finished", 0, "resume")
    assert loom("back") == "rose 1 is open again. three, two, one, two"
    assert loom.counts()[1] == 4


def test_a_group_left_behind_is_come_back_to(loom: AtTheLoom) -> None:
    loom("next", "next", "next", "next")
    loom("back", "back", "next")
    assert loom.session.group.name == "rose 1"


def test_nothing_moves_while_paused_and_a_press_only_wakes(loom: AtTheLoom) -> None:
    loom("next")
    assert loom("pause") == "Paused in edge after 4 ends."
    assert loom("back").startswith("[unclear] Paused")
    assert loom("next") == "one, two"
    assert loom.counts()[0] == 4


def test_ends_used_up_is_understood_while_paused(loom: AtTheLoom) -> None:
    loom("next", "pause")
    assert loom("finished") == "How many ends of the last call are threaded?"


def test_where_tells_place_count_and_what_is_left(loom: AtTheLoom) -> None:
    loom("next")
    assert loom("where") == "edge, ends 5 to 6 of 6. In all 4 of 30; 26 left."


def test_a_mark_is_spoken_back_and_nothing_moves(loom: AtTheLoom) -> None:
    loom("next")
    before = loom.session.view()
    assert loom("note") == "Marked in edge at 4 of 6. one, two"
    assert loom.session.view() == before


def test_sitting_down_again_tells_the_place_and_calls_again(loom: AtTheLoom) -> None:
    loom("next", "pause", "leave")
    assert loom("sit down") == (
        "Welcome back to threading Test runner. edge, ends 5 to 6 of 6. In all 4 of 30; 26 left. one, two"
    )


def test_fewer_ends_in_a_call_from_now_on_lose_no_end(loom: AtTheLoom) -> None:
    loom("next", "next", "next", "next", "leave")
    spoken(loom.session, Event(Kind.SIT_DOWN, 1000.0, 3))
    assert loom("repeat") == "three, two"
    assert loom("next") == "one, two, three"
    assert loom("back") == "four, three, two"
    assert loom("next", "next", "next") == "rose 1: 12 ends. Even?"


def test_volume_and_speed_are_turned_and_heard(loom: AtTheLoom) -> None:
    loom("louder")
    assert loom.effects[0] == Adjust(Knob.VOLUME, 1)
    assert isinstance(loom.effects[1], Say)
    loom("slower")
    assert loom.effects[0] == Adjust(Knob.SPEED, -1)


def test_a_spoken_command_is_acknowledged_by_a_tone(loom: AtTheLoom) -> None:
    assert spoken(loom.session, Event(Kind.NEXT, 50.0, source="voice"))[0] == Sound(Tone.HEARD)


def test_what_is_not_understood_changes_nothing(loom: AtTheLoom) -> None:
    before = loom.session.view()
    assert loom("unclear") == "[unclear]"
    assert loom.session.view() == before


def test_an_unasked_number_changes_nothing(loom: AtTheLoom) -> None:
    loom("next")
    before = loom.session.view()
    assert loom(3).startswith("[unclear]")
    assert loom.session.view() == before


def test_time_left_goes_by_the_pace_of_earlier_warps_until_that_of_this_one_is_known(loom: AtTheLoom) -> None:
    loom.session.reckon_by(20.0)
    assert loom.session.view().left == Time("thread", 30 * 20, own=True)
    loom(*["next"] * 10)
    assert loom.session.view().left.seconds == 0.0


def test_time_left_is_common_practice_until_the_weavers_own_pace_is_known(loom: AtTheLoom) -> None:
    assert loom.session.view().left == Time("thread", 30 * 32, own=False)
    loom(*["next"] * 10)
    view = loom.session.view()
    assert view.left == Time("thread", 0.0, own=True)


def test_a_break_is_no_part_of_the_pace(loom: AtTheLoom) -> None:
    loom(*["next"] * 4)
    loom.now += 3600
    loom(*["next"] * 5)
    assert loom.session.place.pace == pytest.approx(80 / 26)


def test_colours_are_named_where_they_change() -> None:
    loom = AtTheLoom("""
title: Stripes
shafts: 4
yarns: {flax: {name: line flax}, rust: {name: rust wool}}
groups: [{name: stripe, thread: 1..4, yarn: "2 flax, 1 rust"}]
""")
    assert loom("repeat") == "stripe, 4 ends: line flax one, two, rust wool three, line flax four"


def test_an_end_on_two_shafts_is_one_beat() -> None:
    loom = AtTheLoom("{title: Pairs, shafts: 8, groups: [{name: pairs, thread: 1/5 2/6}]}")
    assert loom("repeat") == "pairs, 2 ends: one and five, two and six"


def test_every_event_stands_in_the_table_once() -> None:
    assert set(TABLE) | set(EVERYWHERE) == set(Kind)
    assert not set(TABLE) & set(EVERYWHERE)
    assert {mode.name for mode in MODES} == set(ModeName)
    assert all(row.keys() <= set(MODES) for row in TABLE.values())


def test_what_will_be_said_is_known_ahead() -> None:
    ahead = {part.text for part in english(session()).parts(session().ahead())}
    loom = AtTheLoom()
    said = set()
    for _ in range(10):
        loom("next")
        said |= {part.text for effect in loom.effects if isinstance(effect, Say) for part in effect.parts}
    assert said <= ahead

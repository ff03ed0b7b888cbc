"""The threading is read back: the helper calls at a steady pace, or compares what the weaver reads."""

import random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from warps import session, spoken

from assistant.senses.screen.words import ScreenWords
from assistant.session.events import AS_BEFORE, SHAFTS_ALONE, Event, Kind, Sound
from assistant.session.view import ModeName
from assistant.warp.passes import CHECK, READ, Pass
from assistant.words.language import load
from assistant.words.speech import Say
from assistant.words.wording import Wording

ROSE = "{title: Rose, shafts: 4, groups: [{name: rose, thread: 2(1 2 3 4 1 4 3 2)}, {name: edge, thread: 2(1 2 3)}]}"


END_READ = (
    "{}: {} ends read. If no further end is there, say next; "
    "if two cross or share a heddle, or a colour is wrong, mistake."
)
ROSE_READ, EDGE_READ = END_READ.format("rose", 16), END_READ.format("edge", 6)


class AtTheLoom:
    """A session with a clock that moves on by itself."""

    def __init__(self, job: Pass[Any]):
        self.session = session(ROSE, job)
        self.now = 0.0
        self("sit down")

    def __call__(self, kind: str, number: int | None = None, source: str = "key", row: tuple[int, ...] = ()) -> str:
        self.now += 4
        effects = spoken(self.session, Event(Kind(kind), self.now, number, source, row))
        told = (effect for effect in effects if isinstance(effect, Say | Sound))
        return " ".join(effect.text if isinstance(effect, Say) else f"[{effect.tone}]" for effect in told)

    def read(self, *row: int) -> str:
        return self("read", source="voice", row=row)

    def tick(self) -> str:
        return self("next", source="clock")

    def states(self) -> list[tuple[str, int]]:
        return [(group.state.value, group.counted) for group in self.session.summary()]


def test_the_clock_calls_group_by_group_and_closes_what_no_press_stopped() -> None:
    loom = AtTheLoom(CHECK)
    assert loom("repeat") == "rose, 16 ends: one, two, three, four"
    assert [loom.tick() for _ in range(4)][-1] == "[even] edge, 6 ends: one, two, three, one"
    loom.tick()
    assert loom.tick() == "[even] All 22 ends are checked, in 2 groups. No group is off."
    assert not loom.session.moves_on


@pytest.mark.parametrize("kind", ["find", "finished", "uneven"])
def test_a_press_stops_at_the_difference_and_the_check_goes_on_from_there(kind: str) -> None:
    loom = AtTheLoom(CHECK)
    loom.tick()
    said = loom(kind, source="pedal")
    assert said == "[off] rose differs. How many ends of the last call are as called?"
    assert not loom.session.moves_on
    assert loom("number", 2).startswith("rose differs after end 6. Put it right, then say previous")
    assert loom.states()[0] == ("off", 6)
    assert loom("back") == "rose is open again. three, two"
    assert loom.session.moves_on
    for _ in range(3):
        loom.tick()
    assert loom.states()[0] == ("even", 16)


def test_next_means_as_called_and_goes_on_before_the_clock_does() -> None:
    loom = AtTheLoom(CHECK)
    assert loom("next", source="pedal") == "one, four, three, two"
    assert loom.states()[0] == ("open", 4)
    assert loom.session.place.paced == 0
    loom.tick()
    assert (loom.states()[0], loom.session.place.paced) == (("open", 8), 4)
    for _ in range(2):
        loom("next", source="voice")
    assert loom.states()[0] == ("even", 16)


def test_in_a_record_from_before_next_and_no_other_word_said_that_something_differs() -> None:
    loom = AtTheLoom(CHECK)
    loom("find", source="key, as before")
    assert loom.states()[0] == ("waiting", 0)
    loom("next", source="key, as before")
    assert loom.session.mode is ModeName.PARTWAY


def test_an_end_that_differs_at_the_last_call_is_never_counted_as_right() -> None:
    loom = AtTheLoom(CHECK)
    for _ in range(3):
        loom.tick()
    loom("find")
    assert loom.session.largest_number == 3
    loom("number", 3)
    assert loom.states()[0] == ("off", 15)


def test_what_is_read_right_is_passed_in_silence() -> None:
    loom = AtTheLoom(READ)
    assert loom("repeat") == "rose, 16 ends: Read from end 1."
    assert loom.session.reads
    assert loom.session.largest_number == 4
    assert loom.read(1, 2, 3, 4) == "[heard]"
    assert loom.read(1, 4) == "[heard]"
    assert loom("repeat") == "Read from end 7."
    for row in ((3, 2), (1, 2, 3, 4)):
        assert loom.read(*row) == "[heard]"
    assert loom.read(1, 4, 3, 2) == f"[heard] {ROSE_READ}"
    assert loom("repeat") == ROSE_READ
    assert loom("next") == "[even] edge, 6 ends: Read from end 1."
    assert loom.states()[0] == ("even", 16)


def test_two_neighbours_swapped_are_found_and_put_right() -> None:
    loom = AtTheLoom(READ)
    loom.read(1, 2, 3, 4)
    assert loom.read(1, 4, 2, 3) == "[unclear] Read end 7 again."
    said = loom.read(2, 3)
    assert said.startswith("[off] End 7 reads two; it should be three. Put it right, then say previous")
    assert loom.states()[0] == ("off", 6)
    assert loom("back") == "rose is open again. Read from end 7."
    loom.read(3, 2, 1, 2)
    assert loom.session.group.counted == 10


def test_a_number_misheard_is_asked_again_and_clears() -> None:
    loom = AtTheLoom(READ)
    assert loom.read(1, 3, 3, 4).startswith("[unclear] Read end")
    assert loom.read(2) == "[unclear] Read end 2 again."
    assert loom.read(2) == "[heard]"
    assert loom.session.group.counted == 4


def test_ends_that_cannot_be_made_out_are_to_be_looked_at() -> None:
    loom = AtTheLoom(READ)
    said = loom.read(1, 3, 3, 4)
    for row in ((4,), (2,), (3,), (1,), (4,), (2,)):
        if loom.session.mode is ModeName.OFF:
            break
        said = loom.read(*row)
    assert loom.session.mode is ModeName.OFF
    assert "cannot be made out by ear: look at them" in said or "it should be two" in said
    assert loom("back") == "rose is open again. Read from end 2."


def test_an_end_that_is_not_there_shows_when_the_group_is_closed() -> None:
    loom = AtTheLoom(READ)
    for row in ((1, 2, 3, 4), (1, 4, 3, 2), (1, 2, 3, 4), (1, 4, 3)):
        loom.read(*row)
    assert loom("next") == "[unclear] Read end 16 again."
    assert loom("next").startswith("[off] End 16, on shaft two, is not there.")


def typed(loom: AtTheLoom, digits: str, source: str = "key") -> list[str]:
    return [loom("number", int(digit), source) for digit in digits]


@pytest.mark.parametrize("source", ["key", "page"])
def test_a_warp_is_read_back_by_digits_alone(source: str) -> None:
    loom = AtTheLoom(READ)
    assert typed(loom, "1234143212341432", source) == [*[""] * 15, ROSE_READ]
    assert loom("next", source=source) == "[even] edge, 6 ends: Read from end 1."
    assert typed(loom, "123123", source) == [*[""] * 5, EDGE_READ]
    assert loom("next", source=source) == "[even] All 22 ends are read back, in 2 groups. No group is off."


def test_typed_otherwise_it_is_asked_for_again_with_the_reason_and_then_named() -> None:
    loom = AtTheLoom(READ)
    assert typed(loom, "122") == ["", "", "[unclear] Read end 3 again."]
    view = loom.session.view()
    assert Wording(load("en"), "read").text(*view.prompt) == "Read end 3 again. It was read as 2."
    assert [figure.text for figure in view.figures] == ["3?"]
    assert loom("repeat") == "Read end 3 again. It was read as 2."
    assert typed(loom, "2")[0].startswith("[off] End 3 reads two; it should be three.")
    assert loom("back") == "rose is open again. Read from end 3."
    assert typed(loom, "3414") == ["", "", "", ""]
    assert loom.session.group.counted == 6


def test_a_slip_of_the_finger_is_taken_back_or_typed_right_when_asked() -> None:
    loom = AtTheLoom(READ)
    assert typed(loom, "124") == ["", "", "[unclear] Read end 3 again."]
    assert typed(loom, "34") == ["", ""]
    assert loom.session.group.counted == 4
    assert loom("back") == "Read from end 4."
    assert loom("back") == "Read from end 3."
    assert typed(loom, "4") == ["[unclear] Read end 3 again."]
    assert loom("back") == "Read from end 3."
    assert typed(loom, "3") == [""]
    assert loom.session.group.counted == 3


def test_the_first_end_typed_wrong_is_taken_back() -> None:
    loom = AtTheLoom(READ)
    assert typed(loom, "4") == ["[unclear] Read end 1 again."]
    assert Kind.BACK in loom.session.view().offers
    assert loom("back") == "rose, 16 ends: Read from end 1."
    assert Kind.BACK not in loom.session.view().offers


def test_what_is_typed_on_before_the_question_was_heard_is_not_taken() -> None:
    """End 3 was skipped; the weaver types on a little and then looks."""
    loom = AtTheLoom(READ)
    typed(loom, "12")
    assert loom("number", 4) == "[unclear] Read end 3 again."
    for digit in (1, 4, 3):
        loom.now -= 3.7
        assert loom("number", digit) == "[unclear]"
    assert loom.session.group.counted == 2
    assert typed(loom, "4")[0].startswith("[off] End 3 reads four; it should be three.")


def test_a_row_of_keys_is_taken_up_to_the_end_that_is_asked_for_again() -> None:
    loom = AtTheLoom(READ)
    assert loom("read", row=(1, 2, 3, 4, 1, 4)) == ""
    assert loom("read", row=(3, 4, 1, 2)) == "[unclear] Read end 8 again."
    assert loom.session.group.counted == 7


def test_an_end_in_no_heddle_is_typed_as_nought_and_never_heard_as_one() -> None:
    loom = AtTheLoom(READ)
    assert typed(loom, "120") == ["", "", "[unclear] Read end 3 again."]
    assert typed(loom, "0")[0].startswith("[off] End 3 is in no heddle; it should be on shaft three.")
    loom = AtTheLoom(READ)
    assert loom.read(1, 2, 0) == "[unclear] rose, 16 ends: Read from end 1."


def test_of_ends_asked_for_together_each_that_is_typed_right_passes_in_silence() -> None:
    loom = AtTheLoom(READ)
    typed(loom, "12341432123414")
    assert loom("next") == "[unclear] Read ends 15 to 16 again."
    assert Wording(load("en"), "read").text(*loom.session.view().prompt).endswith("Nothing was read of it.")
    assert typed(loom, "32") == ["", ROSE_READ]
    assert loom("next") == "[even] edge, 6 ends: Read from end 1."


def test_spoken_and_typed_by_turns() -> None:
    loom = AtTheLoom(READ)
    assert loom.read(1, 3, 3, 4) == "[unclear] Read end 2 again."
    assert typed(loom, "2") == [""]
    assert loom.session.group.counted == 4
    assert loom.read(1, 4) == "[heard]"
    assert typed(loom, "32") == ["", ""]
    assert loom.session.group.counted == 8


def test_what_was_read_last_is_shown() -> None:
    loom = AtTheLoom(READ)
    words = Wording(load("en"), "read")
    assert loom.session.view().taken == ()
    typed(loom, "1234143212")
    assert words.text(*loom.session.view().taken) == "Right up to end 10: 3 4 1 4 3 2 1 2."


def test_a_pedal_alone_is_told_that_it_names_no_shaft() -> None:
    loom = AtTheLoom(READ)
    assert loom("next", source="pedal").startswith("[unclear] A pedal names no shaft")
    typed(loom, "1234143212341432")
    assert loom("next", source="pedal").startswith("[even]")


def test_a_group_marked_off_may_be_settled_or_left() -> None:
    for word, state, counted in (("settle", "settled", 16), ("resume", "off", 0)):
        loom = AtTheLoom(READ)
        loom.read(2, 2, 3, 4)
        while loom.session.mode is not ModeName.OFF:
            loom.read(2, 2, 3, 4)
        loom(word)
        assert loom.states()[0] == (state, counted)
        assert loom.session.group.name == "edge"


@pytest.mark.parametrize(("kind", "source"), [("find", "voice"), ("uneven", "pedal")])
def test_ends_that_cross_are_told_once_all_shafts_are_read_and_looked_at_again_when_set_right(
    kind: str, source: str
) -> None:
    loom = AtTheLoom(READ)
    assert Kind.FIND not in loom.session.view().offers
    typed(loom, "1234143212341432")
    assert {Kind.FIND, Kind.UNEVEN} <= set(loom.session.view().offers)
    lies = "rose: all shafts are right, but two ends cross or share a heddle, or a colour is wrong."
    assert (
        loom(kind, source=source).removeprefix("[heard] ").startswith(f"[off] {lies} Put it right, then say previous")
    )
    assert loom.states()[0] == ("off", 16)
    assert loom("back") == f"rose is open again. {ROSE_READ}"
    assert loom("next") == "[even] edge, 6 ends: Read from end 1."
    assert loom.states()[0] == ("even", 16)


def test_a_group_left_marked_is_told_at_the_end() -> None:
    loom = AtTheLoom(READ)
    typed(loom, "1234143212341432")
    loom("find")
    loom("resume")
    typed(loom, "123123")
    said = loom("next")
    assert "1 group is off: rose: all shafts are right, but two ends cross" in said
    words = ScreenWords(load("en"))
    view = loom.session.view()
    assert words.state(view, view.summary[0]) == "OFF, lies otherwise"


@given(st.integers(0, 100_000))
def test_no_group_is_closed_before_it_was_asked_how_its_ends_lie(seed: int) -> None:
    chance = random.Random(seed)
    loom, ends = AtTheLoom(READ), (1, 2, 3, 4, 1, 4, 3, 2) * 2
    for _ in range(12):
        asked, counted = loom.session.mode is ModeName.CLOSING, loom.session.group.counted
        row = tuple(chance.randint(1, 4) if chance.random() < 0.1 else shaft for shaft in ends[counted : counted + 5])
        said = loom.read(*row) if row and chance.random() < 0.8 else loom("next", source="voice")
        if loom.session.group.name != "rose":
            assert asked
            return
        if loom.session.mode is ModeName.CLOSING and not asked:
            assert said.endswith(ROSE_READ) or "again." in said


def test_the_colours_are_told_as_they_should_lie() -> None:
    striped = "{title: Striped, start: left, shafts: 4, yarns: {a: {name: white}, b: {name: blue}}, groups: [%s]}"
    groups = "{name: rose, thread: 4(1 2 3), yarn: '2 a, 1 b'}, {name: edge, thread: 3(1 2), yarn: b}"
    reading = session(striped % groups, READ)

    def told() -> str:
        return Wording(load("en"), "read").text(*reading.view().prompt)

    reading.handle(Event(Kind.READ, 0.0, row=(1, 2, 3) * 4))
    assert told() == f"{END_READ.format('rose', 12)} The colours from the left: 2 white. 1 blue. That 4 times."
    reading.handle(Event(Kind.NEXT, 4.0))
    reading.handle(Event(Kind.READ, 8.0, row=(1, 2) * 3))
    assert told() == f"{EDGE_READ} The colours from the left: 6 blue."


def test_many_colours_are_left_to_the_call_sheet() -> None:
    yarns = ", ".join(f"y{n}: {{name: yarn {n}}}" for n in range(12))
    lying = ", ".join(f"y{n}" for n in range(12))
    reading = session(
        f"{{title: Many, shafts: 4, yarns: {{{yarns}}}, groups: [{{name: all, thread: 3(1..4), yarn: '{lying}'}}]}}",
        READ,
    )
    reading.handle(Event(Kind.READ, 0.0, row=(1, 2, 3, 4) * 3))
    assert Wording(load("en"), "read").text(*reading.view().prompt).endswith("mistake. The call sheet has the colours.")


@pytest.mark.parametrize("mark", [SHAFTS_ALONE, AS_BEFORE + SHAFTS_ALONE])
def test_in_a_record_from_before_only_shafts_were_asked_about(mark: str) -> None:
    loom = AtTheLoom(READ)
    typed(loom, "1234143212341432")
    for kind in ("find", "uneven"):
        assert loom(kind, source=f"key{mark}").startswith("[unclear]")
    assert loom("next", source=f"key{mark}") == "[even] edge, 6 ends: Read from end 1."

"""At "even?", and in the middle of a group: a mistake is looked for, the group is begun anew, heddles tell of it."""

import pytest
from warps import session, spoken

from assistant.finder import NOT_A_SHAFT, YES, Ask, LeftBehind, Look, Mistake, MistakeKind, answered, left_by
from assistant.session.events import Event, Kind, Origin
from assistant.session.machine import Session
from assistant.session.modes import Calling, Closing, Off, search
from assistant.session.view import GroupState, ModeName
from assistant.warp.passes import READ, WIND
from assistant.words.speech import Say

ROSE = "{title: Rose, shafts: 4, groups: [{name: rose, thread: '3(1 2 3 4 1 4 3 2)'}, {name: edge, thread: '4(1 2)'}]}"


class AtTheLoom:
    """A weaver with what hangs before her, who tells the truth."""

    def __init__(self, calls: int, text: str = ROSE, *, counted: bool = True):
        self.session: Session = session(text)
        self.now = 0.0
        self("heddles counted", int(counted))
        self("sit down")
        for _ in range(calls):
            self("next")

    def __call__(self, kind: str, number: int | None = None, source: str = "key") -> str:
        self.now += 5
        effects = spoken(self.session, Event(Kind(kind), self.now, number, source))
        return " ".join(effect.text for effect in effects if isinstance(effect, Say))

    def stands(self) -> str:
        """The mode it is in."""
        return self.session.mode.value

    @property
    def look(self) -> Look:
        look = search(self.session.place.mode)
        assert isinstance(look, Look)
        return look

    def hung(self, mistake: Mistake, ends: int) -> LeftBehind:
        """What hangs of the first ends of the group, with a mistake in it."""
        return left_by(self.session.place.course.expected(0)[:ends], mistake)

    def tell(self, hanging: LeftBehind) -> None:
        """Answer until something comes out."""
        while self.session.mode is ModeName.ASKING:
            question = self.look.question
            assert question is not None
            if question.ask is Ask.HEDDLES:
                self("unsure")
                continue
            answer = answered(question, hanging, self.look.group.expected)
            if question.ask is Ask.RIGHT_UP_TO:
                self("next" if answer == YES else "find")
                continue
            for number in (answer or (NOT_A_SHAFT,)) if isinstance(answer, tuple) else (answer,):
                self("number", number)


def test_a_mistake_is_looked_for_at_even_and_the_question_comes_back() -> None:
    loom = AtTheLoom(6)
    asked = loom("repeat")
    assert asked == "rose: 24 ends. Even?"
    loom("find", source=Origin.VOICE)
    assert loom.stands() == "asking"
    assert loom.session.group.state is GroupState.OPEN
    assert loom("back") == asked
    loom("find")
    loom.tell(loom.hung(Mistake(MistakeKind.SWAPPED, 9), 24))
    assert loom.stands() == "found"
    loom("next")
    assert (loom.stands(), loom.session.group.state) == ("calling", GroupState.OPEN)
    loom("next")
    assert loom.stands() == "closing"
    assert loom("next").startswith("edge, 8 ends")


def test_in_the_middle_of_a_group_it_is_looked_for_in_what_hangs_and_threading_goes_on_from_there() -> None:
    loom = AtTheLoom(4)
    said = loom("find")
    assert said.startswith("I look among ends 1 to 16 of rose. What is threaded of this call does not count yet.")
    assert len(loom.look.group.expected) == 16
    assert loom.look.observation.over == 0
    loom.tell(loom.hung(Mistake(MistakeKind.SWAPPED, 6), 16))
    assert loom.stands() == "found"
    loom("next")
    assert loom.session.group.counted < 16
    while loom.session.group.counted < 16:
        assert loom.stands() == "calling"
        loom("next")
    assert loom.session.place.here.redo_to == loom.session.place.here.hangs_to == 0
    assert loom("repeat") == "one, two, three, four"
    assert [loom("next"), loom("next")][-1] == "rose: 24 ends. Even?"


def test_a_search_in_the_middle_that_finds_nothing_goes_back_to_the_call() -> None:
    loom = AtTheLoom(3)
    loom("find")
    assert loom("back") == "one, four, three, two"
    assert loom.session.place.mode == Calling()
    assert loom.session.group.counted == 12


def test_before_the_first_call_and_while_a_repair_is_under_way_there_is_nothing_to_look_for() -> None:
    loom = AtTheLoom(0)
    assert not {Kind.FIND, Kind.REDO} & set(loom.session.view().offers)
    loom = AtTheLoom(6)
    loom("find")
    loom.tell(loom.hung(Mistake(MistakeKind.SWAPPED, 9), 24))
    loom("next")
    assert Kind.FIND not in loom.session.view().offers


@pytest.mark.parametrize("calls", [2, 6])
def test_a_group_under_way_is_begun_anew_and_that_is_asked_about_where_it_was_heard(calls: int) -> None:
    loom = AtTheLoom(calls)
    before = loom.session.place.mode
    assert loom("redo", source=Origin.VOICE) == "Begin rose anew? Say next for yes, previous for no."
    loom("back")
    assert (loom.session.place.mode, loom.session.group.counted) == (before, min(4 * calls, 24))
    assert loom("redo").startswith("rose, 24 ends: one, two, three, four")
    assert loom.session.group.counted == 0


def test_in_a_record_from_before_neither_meant_anything_there() -> None:
    loom = AtTheLoom(2)
    for kind in ("find", "redo"):
        loom(kind, source="key, as before")
    assert (loom.session.place.mode, loom.session.group.counted) == (Calling(), 8)


@pytest.mark.parametrize(("word", "seen"), [("heddle left", 1), ("heddle missing", -1)])
@pytest.mark.parametrize("said", [None, 1])
def test_a_heddle_left_or_missing_answers_even_and_the_search_begins_with_it(
    word: str, seen: int, said: int | None
) -> None:
    loom = AtTheLoom(6)
    asked = loom(word, said, source=Origin.VOICE)
    assert asked.startswith("On which shaft")
    assert loom.session.largest_number == 4
    if said is None:
        assert loom("number", 3).startswith("How many heddles")
        loom("number", 1)
    else:
        loom("number", 3)
    assert loom.stands() == "asking"
    assert loom.look.observation.heddles == {3: seen}
    assert loom.look.question is not None
    assert loom.look.question.ask is not Ask.HEDDLES or loom.look.question.shaft != 3


def test_a_heddle_left_finds_the_end_that_is_on_a_wrong_shaft() -> None:
    loom = AtTheLoom(6)
    for kind, number in (("heddle left", None), ("number", 3), ("number", 1)):
        loom(kind, number)
    mistake = Mistake(MistakeKind.WRONG_SHAFT, 3, found=(4,))
    loom.tell(loom.hung(mistake, 24))
    assert loom.stands() == "found"
    verdict = loom.look.verdict
    assert verdict is not None
    assert verdict.hypothesis is not None
    assert verdict.hypothesis.repair.first == 3


def test_heddles_and_ends_are_told_together_at_an_alarm() -> None:
    loom = AtTheLoom(6)
    loom("over", 1)
    loom("heddle left")
    loom("number", 2)
    loom("number", 1)
    assert (loom.look.observation.over, loom.look.observation.heddles) == (1, {2: 1})
    loom.session.handle(Event(Kind.BACK, 99.0))
    assert loom.session.place.mode == Off()


def test_what_was_said_of_heddles_may_be_taken_back_and_turned_around() -> None:
    loom = AtTheLoom(6)
    assert loom("heddle left") == "On which shaft is a heddle left?"
    assert loom("heddle missing") == "On which shaft was a heddle missing?"
    loom("number", 3)
    assert loom("back") == "On which shaft was a heddle missing?"
    assert loom("back") == "rose: 24 ends. Even?"
    loom("heddle left")
    loom("number", 3)
    loom("number", 0)
    assert loom.session.place.mode == Closing()


def test_a_heddle_said_while_the_last_call_is_out_says_that_it_is_done() -> None:
    loom = AtTheLoom(5)
    loom("heddle left")
    assert (loom.session.mode, loom.session.group.counted) == (ModeName.HEDDLES, 24)
    assert loom("back") == "rose: 24 ends. Even?"


def test_heddles_mean_nothing_where_they_were_not_counted_out() -> None:
    loom = AtTheLoom(6, counted=False)
    assert not {Kind.HEDDLE_LEFT, Kind.HEDDLE_MISSING} & set(loom.session.view().offers)
    assert loom("heddle left") == "rose: 24 ends. Even?"
    loom("over", 1)
    loom("find")
    while question := loom.look.question:
        assert question.ask is not Ask.HEDDLES
        loom("unsure")
        if loom.session.mode is not ModeName.ASKING:
            break


@pytest.mark.parametrize("job", [WIND, READ], ids=lambda job: job.name)
def test_where_shafts_are_not_looked_for_neither_are_heddles(job: object) -> None:
    loom = session(ROSE, job)  # type: ignore[arg-type]
    loom.handle(Event(Kind.SIT_DOWN, 0.0))
    while loom.mode is ModeName.CALLING and loom.job is WIND:
        loom.handle(Event(Kind.NEXT, 0.0))
    assert not {Kind.HEDDLE_LEFT, Kind.FIND} & set(loom.view().offers)

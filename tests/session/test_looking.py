"""A mistake is looked for in the session: questions, answers, the repair, and on from there."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from warps import english, session, spoken

from assistant.finder import (
    YES,
    Ask,
    GroupToSearch,
    LeftBehind,
    Mistake,
    MistakeKind,
    Question,
    Repair,
    Search,
    Side,
    Way,
    answered,
    left_by,
    mistakes,
)
from assistant.finder.looking import Look
from assistant.session import telling
from assistant.session.events import About, Effect, Event, Kind, Sound, Tone
from assistant.session.machine import Session
from assistant.session.modes import Asking, search
from assistant.session.view import GroupState, ModeName
from assistant.words.speech import Say

ROSE = """
{title: Rose, shafts: 4, groups: [
  {name: rose, thread: "3(1 2 3 4 1 4 3 2)"}, {name: pairs, thread: "4(1/3 2/4 1/4)"}, {name: plain, thread: "6(1 2)"}]}
"""


class AtTheLoom:
    """A weaver who made one mistake in one group, and tells the truth."""

    def __init__(self, group: int, mistake: Mistake):
        self.session: Session = session(ROSE)
        self.now = 0.0
        self.said: list[str] = []
        self.expected = tuple(tuple(sorted(end.shafts)) for end in self.session.warp.groups[group].ends)
        self.left = left_by(self.expected, mistake)
        self("sit down")
        while self.session.group.name != self.session.warp.groups[group].name:
            self("next")

    def __call__(self, kind: str, number: int | None = None) -> str:
        self.now += 5
        effects = spoken(self.session, Event(Kind(kind), self.now, number))
        self.said.append(" ".join(effect.text for effect in effects if isinstance(effect, Say)))
        self.toned = [effect.tone for effect in effects if isinstance(effect, Sound)]
        return self.said[-1]

    @property
    def look(self) -> Look:
        """The search that is under way, or has come out."""
        look = search(self.session.place.mode)
        assert isinstance(look, Look)
        return look

    def close_off(self) -> None:
        """Thread as called, and say what was left or short."""
        while self.session.mode is ModeName.CALLING:
            self("next")
        self("over" if self.left.over > 0 else "short", abs(self.left.over))

    def answer(self) -> None:
        """Tell what is on the loom, number by number."""
        question = self.look.question
        assert question is not None
        if question.ask is Ask.HEDDLES:
            left = dict(self.left.heddles).get(question.shaft, 0)
            if left < 0:
                self("short")
            self("number", abs(left))
            return
        if question.ask is Ask.RIGHT_UP_TO:
            self("next" if answered(question, self.left, self.expected) == YES else "find")
            return
        told = on_loom(question, self.left)
        for number in told or (0,):
            self("number", number)
        if self.session.mode is ModeName.ASKING and self.look.told:
            self("next")

    def answer_wrongly(self) -> None:
        """Tell what is not on the loom, or that it cannot be told."""
        question = self.look.question
        assert question is not None
        if question.ask is Ask.RIGHT_UP_TO:
            self("find" if answered(question, self.left, self.expected) == YES else "next")
        elif question.ask is Ask.SHAFTS:
            self("number", 1 + sum(on_loom(question, self.left)) % 4)
        else:
            self("unsure")

    def find(self) -> None:
        self("find")
        while self.session.mode is ModeName.ASKING:
            self.answer()


def on_loom(question: Question, left: LeftBehind) -> tuple[int, ...]:
    if question.ask is Ask.COUNT:
        return (sum(question.shaft in end for end in left.loom[: question.end]),)
    if question.end > len(left.loom):
        return ()
    return left.loom[question.end - 1 if question.side is Side.FIRST else -question.end]


def every_mistake() -> list[tuple[int, Mistake]]:
    """Those that a count shows, in every group."""
    groups = session(ROSE).warp.groups
    made = []
    for number, group in enumerate(groups):
        expected = tuple(tuple(sorted(end.shafts)) for end in group.ends)
        starts = tuple(range(0, len(expected), 4))
        made += [
            (number, one) for one, _ in mistakes(GroupToSearch(expected, starts, 4)) if left_by(expected, one).over
        ]
    return made


@given(st.sampled_from(every_mistake()))
def test_the_mistake_is_found_set_right_and_the_group_closed(made: tuple[int, Mistake]) -> None:
    group, mistake = made
    loom = AtTheLoom(group, mistake)
    loom.close_off()
    loom.find()
    assert loom.session.mode is ModeName.FOUND
    found = loom.look.verdict
    assert found is not None
    assert found.hypothesis is not None
    repair = loom.look.choices[0].repair
    if not found.certain:
        assert repair == found.hypothesis.repair
    before, after = loom.left.loom[: max(repair.first - 1, 0)], loom.left.loom[max(repair.first - 1, 0) :]
    anew = loom.expected[len(before) : len(before) + repair.threaded]
    if repair.way is Way.LAY_ASIDE:
        assert (*before, *after[1:], loom.expected[-1]) == loom.expected
    else:
        assert (*before, *anew, *after[repair.taken_out :]) == loom.expected
    loom("next")
    if repair.way is Way.NOTHING:
        assert loom.session.summary()[group].state is GroupState.SETTLED
        return
    threaded = 0
    while (
        loom.session.view().mode is ModeName.CALLING
        and loom.session.group.name == session(ROSE).warp.groups[group].name
    ):
        threaded += loom.session.view().calling
        loom("next")
    assert threaded == (0 if repair.way is Way.REPAIR_HEDDLE else repair.threaded)
    assert loom.session.view().mode is ModeName.CLOSING
    loom("next")
    assert loom.session.summary()[group].state is GroupState.EVEN


def test_the_weaver_is_led_to_the_end_and_on_from_there() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 20))
    loom.close_off()
    assert "Shall we look for it? Say mistake." in loom.said[-1]
    loom.find()
    assert loom.toned == [Tone.EVEN]
    assert loom.said[-1] == (
        "End 20 of the draft, on shaft four, was left out. Take out 4 ends, from end 20 on, counted from the right "
        "as it hangs, and thread 5 from there. Say next when they are out. Or say a number. 2: leave it, and mark the "
        "group."
    )
    assert loom("next") == "four"
    assert [item.written for item in loom.session.view().called] == ["4"]
    assert loom("next") == "one, four, three, two"
    assert loom("next") == "rose: 24 ends. Even?"


def test_back_takes_the_last_answer_back_and_at_the_first_question_leaves_off() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.DOUBLED, 9))
    loom.close_off()
    asked = loom("find")
    loom.answer()
    assert loom("back") == asked
    assert "Shall we look for it?" in loom("back")
    assert loom.session.mode is ModeName.OFF


def test_who_cannot_tell_is_asked_something_else() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    asked = loom("find")
    assert loom("unsure") != asked
    assert loom.session.mode is ModeName.ASKING


def asked_for_heddles(loom: AtTheLoom) -> bool:
    """Whether the heddles are asked for; up to there every question is answered."""
    while loom.session.mode is ModeName.ASKING:
        if "heddles are left" in loom.said[-1]:
            return True
        loom.answer()
    return False


def test_who_counted_no_heddles_out_is_asked_for_them_once() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    loom("find")
    while "heddles are left" not in loom.said[-1]:
        loom("unsure")
    loom("unsure")
    assert not asked_for_heddles(loom)
    loom("redo")
    loom.close_off()
    loom("find")
    assert not asked_for_heddles(loom)


def test_a_foot_looks_for_the_mistake_by_three_presses() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    loom("uneven")
    assert loom.session.mode is ModeName.ASKING


def test_a_shaft_that_is_not_there_is_not_believed() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    loom("find")
    loom("unsure")
    asked = loom("repeat")
    assert loom("number", 5) == f"0 to 1 can answer here. {asked}"
    assert loom.toned == [Tone.UNCLEAR]


@pytest.mark.parametrize("start", ["right", "left"])
def test_a_side_is_told_as_one_sits_at_the_loom(start: str) -> None:
    """The first end of the group hangs at the edge where the warp starts."""
    loom = session(ROSE.replace("shafts: 4", f"shafts: 4, start: {start}"))
    for kind, number in ((Kind.SIT_DOWN, None), *[(Kind.NEXT, None)] * 6, (Kind.OVER, 1)):
        loom.handle(Event(kind, 0.0, number))
    look, asked = loom.place.begin_look(), set[Side]()
    other = {"right": "left", "left": "right"}[start]
    while question := look.question:
        if question.ask is Ask.SHAFTS:
            side = start if question.side is Side.FIRST else other
            words = english(loom).text(*telling.question(look, loom.warp))
            assert words.startswith(f"Counted from the {side} of the group, which shaft is end {question.end} on")
            (figure,) = telling.figures(loom.place.to(Asking(look)))
            assert (figure.text, english(loom).figure(figure).caption) == (f"{question.end}?", f"from the {side}")
            asked.add(question.side)
        look = look.not_sure()
    assert asked == set(Side)


def test_a_question_that_was_answered_is_asked_again_only_with_the_reason() -> None:
    """An answer that surprises is asked for again, and one on which everything hangs."""
    reasons = set[str]()
    for lie in range(8):
        for skipped in range(3, 25, 3):
            loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, skipped))
            loom.close_off()
            loom("find")
            answered: list[Question] = []
            while loom.session.mode is ModeName.ASKING and (question := loom.look.question):
                again, why, _ = loom.said[-1].partition(". Please look once more. ")
                assert bool(why) is (question in answered)
                reasons |= {again} if why else set()
                if len(answered) == lie:
                    loom.answer_wrongly()
                else:
                    loom.answer()
                answered.append(question)
    assert reasons == {
        "I ask this again, because the answers do not fit together",
        "I ask this again, because what is to be done depends on it",
    }


def test_how_far_to_go_on_is_told_with_the_way() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    loom("find")
    further_on = {Side.FIRST: ("left", "right"), Side.LAST: ("right", "left")}
    told = 0
    while loom.session.mode is ModeName.ASKING:
        question = loom.look.question
        assert question is not None
        if further := loom.look.search.landmark.further(question):
            way = further_on[question.side][further < 0]
            assert loom.said[-1].endswith((f"further to the {way}.", f"next one to the {way}."))
            told += 1
        loom.answer()
    assert told


def test_two_mistakes_are_found_where_one_does_not_fit() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 3))
    loom.left = left_by(loom.expected, Mistake(MistakeKind.SKIPPED, 3), Mistake(MistakeKind.SKIPPED, 18))
    loom.close_off()
    loom.find()
    assert loom.session.mode is ModeName.FOUND
    assert loom.said[-1].startswith("It is right up to the end before end 3, counted from the right as it hangs;")
    assert "Take out 20 ends, from end 3 on" in loom.said[-1]


@pytest.mark.parametrize("answers", [[1, 4, 4, 1, 2, 2, 3, 3] * 8])
def test_answers_that_fit_nothing_come_to_an_end(answers: list[int]) -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    loom("find")
    for number in answers:
        if loom.session.mode is not ModeName.ASKING:
            break
        loom("number", number)
    assert loom.session.mode in (ModeName.OFF, ModeName.FOUND)


def test_another_job_has_no_shafts_to_look_by() -> None:
    from assistant.warp.passes import WIND

    loom = session(ROSE, WIND)
    for kind in ("sit down", "next", "next", "next", "over"):
        spoken(loom, Event(Kind(kind), 1.0, 1 if kind == "over" else None))
    assert loom.mode is ModeName.OFF
    spoken(loom, Event(Kind.FIND, 2.0))
    assert loom.mode is ModeName.OFF


def answered_truly(loom: AtTheLoom, most: int = 99) -> list[Event]:
    """A search answered as it hangs; its events as they are kept."""
    kept = []
    handle = loom.session.handle

    def keep(event: Event) -> list[Effect]:
        kept.append(loom.session.found_by(event))
        return handle(kept[-1])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(loom.session, "handle", keep)
        loom("find")
        while loom.session.mode is ModeName.ASKING and len(kept) < most:
            loom.answer()
        if loom.session.mode is ModeName.FOUND:
            loom("next")
    return kept


@given(st.sampled_from(every_mistake()))
def test_what_is_kept_of_a_search_stands_on_its_own(made: tuple[int, Mistake]) -> None:
    """Replayed by a finder that would ask nothing of the kind, it ends where it ended."""
    loom = AtTheLoom(*made)
    loom.close_off()
    before = Session(loom.session.warp)
    before._place = loom.session.place
    kept = answered_truly(loom)
    with pytest.MonkeyPatch.context() as patch:
        for act in ("question", "verdict", "answer", "of"):
            patch.delattr(Search, act)
        before.replay(kept)
    assert before.place == loom.session.place


def test_a_search_left_open_goes_on_with_what_it_was_told() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5))
    loom.close_off()
    before = Session(loom.session.warp)
    before._place = loom.session.place
    before.replay(answered_truly(loom, 3))
    assert before.place == loom.session.place
    assert before.view() == loom.session.view()


@pytest.mark.parametrize(
    "about",
    [
        Question(Ask.SHAFTS, 99),
        Question(Ask.COUNT, 3, Side.FIRST, 9),
        Question(Ask.HEDDLES, shaft=0),
        Repair(Way.REDO, 0, 1, 1),
        Repair(Way.REDO, 20, 1, 9),
    ],
)
def test_what_cannot_have_stood_is_not_believed(about: About) -> None:
    loom, other = (AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 5)) for _ in range(2))
    for each in (loom, other):
        each.close_off()
        each("find")
    loom.session.replay([Event(Kind.UNSURE, 99.0, about=about)])
    other.session.replay([Event(Kind.UNSURE, 99.0)])
    assert loom.session.place == other.session.place


def test_one_of_the_choices_is_taken_by_its_number_and_told_before_it_is_done() -> None:
    loom = AtTheLoom(0, Mistake(MistakeKind.SKIPPED, 20))
    loom.close_off()
    before = Session(loom.session.warp)
    before._place = loom.session.place
    loom.find()
    last = len(loom.look.choices)
    assert loom("number", last + 1) == f"1 to {last} can answer here. {loom.said[-2]}"
    assert loom.toned == [Tone.UNCLEAR]
    assert loom("number", last) == "Leave it as it hangs; the group stays marked. Say next to go on."
    assert loom("number", 1).startswith("Take out 4 ends, from end 20 on")
    loom("number", last)
    assert loom("next").startswith("pairs, 12 ends")
    assert loom.session.summary()[0].state is GroupState.OFF


def certainly(loom: AtTheLoom, way: Way) -> int:
    """Have it certain how it hangs; the number of the choice of this way."""
    verdict = loom.look.search.verdict()
    assert verdict is not None
    vars(loom.look.search)["_settled"] = replace(verdict, certain=True)
    return 1 + [choice.repair.way for choice in loom.look.choices].index(way)


@pytest.mark.parametrize(
    ("mistake", "way", "said", "called"),
    [
        (Mistake(MistakeKind.SKIPPED, 3), Way.REPAIR_HEDDLE, "Hang a new end over the back for end 3", 0),
        (Mistake(MistakeKind.DOUBLED, 3), Way.LAY_ASIDE, "Take out end 4, counted from the right as it hangs, and", 1),
        (Mistake(MistakeKind.CALL_MISSED, 9, 4), Way.MOVE, "Take out only 6 ends, counted from the right", 4),
    ],
)
def test_a_choice_that_is_cheaper_is_done_and_the_group_closed(
    mistake: Mistake, way: Way, said: str, called: int
) -> None:
    loom = AtTheLoom(0, mistake)
    loom.close_off()
    loom.find()
    number = certainly(loom, way)
    assert loom("number", number).startswith(said)
    assert loom.session.found_by(Event(Kind.NEXT, 0.0)).about == loom.look.choices[number - 1].repair
    loom("next")
    assert loom.session.view().calling == called
    while loom.session.mode is ModeName.CALLING:
        loom("next")
    assert loom.said[-1] == "rose: 24 ends. Even?"

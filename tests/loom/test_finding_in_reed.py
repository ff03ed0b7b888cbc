"""A weaver, and a program, who look for a mistake in the reed without a sitting, at a physical reed."""

import json
from collections.abc import Iterator

import pytest
from described import fits
from reed import Hands, Reed

from assistant import cli
from assistant.errors import FindError, PlanError
from assistant.finder.reed_look import ReedLook
from assistant.finding_in_reed import begin, converse, find
from assistant.warp.examples import find as example
from assistant.warp.sequence import load, loads
from assistant.words.language import codes
from assistant.words.language import load as language

RUNNER = load(example("hearth-runner"))
GROUP = "stripe 3"
FIRST = 28  # the dent it begins in: 54 ends before it, two in a dent


def skipped(look: ReedLook, at: int) -> Reed:
    order = list(look.sleying.due)
    order.insert(at - 1, 0)
    ends = list(range(1, len(look.sleying.shafts) + 1))
    return Hands(order, ends).done(look.sleying.due, look.sleying.shafts)


def replies(reed: Reed, said: list[dict[str, object]]) -> Iterator[str]:
    """What a program answers to what was said last."""
    while True:
        asked = said[-1]
        dents = [int(str(asked.get(name, 0))) - FIRST + 1 for name in ("dent", "first", "last")]
        match asked.get("question"):
            case "dent":
                answer: dict[str, object] = {"shafts": reed.in_dent(dents[0])}
            case "count":
                answer = {"count": reed.count(*dents[1:])}
            case "along":
                answer = {"yes": reed.along(*dents[1:])}
            case _:
                out = asked["take_out"]
                assert isinstance(out, dict)
                reed.sley(out["first"], out["last"])
                answer = {"ends_in": FIRST - 1 + len(reed.dents)}
        yield json.dumps(answer)


@pytest.mark.parametrize("at", [1, 2, 6, 11, 12])
def test_a_program_is_led_to_the_skipped_dent_and_on_until_all_is_right(at: int) -> None:
    look = begin(RUNNER, GROUP, 1)
    assert look.before == FIRST - 1
    reed = skipped(look, at)
    said: list[dict[str, object]] = []
    answers = replies(reed, said)
    said.extend(converse(look, lambda: next(answers)))
    for each in said:
        fits("find", each)
    repairs = [each for each in said if "repair" in each]
    assert [(each["mistake"], each["dent"]) for each in repairs] == [("dent skipped", FIRST - 1 + at)]
    assert said[-1] == {"result": "right", "asked": sum("question" in each for each in said)}
    assert reed.right()


def test_what_a_weaver_types_leads_there_too() -> None:
    look = begin(RUNNER, GROUP, 1)
    reed = skipped(look, 7)
    looks = [look]

    def typed() -> str:
        now = looks[-1].search
        question = now.question
        if question is None:
            assert now.verdict is not None
            reed.sley(now.verdict.repair.first, now.verdict.repair.last)
            looks.append(looks[-1].mended(FIRST - 1 + len(reed.dents)))
            return str(FIRST - 1 + len(reed.dents))
        if question.ask == "dent":
            ends = reed.in_dent(question.first)
            looks.append(looks[-1].answer(ends))
            return " ".join("/".join(map(str, shafts)) for shafts in ends) or "0"
        number = int(reed.along(question.first, question.last))
        if question.ask == "count":
            number = reed.count(question.first, question.last)
        looks.append(looks[-1].answer(number))
        return str(number)

    said = list(find(look, language("en"), typed))
    assert "Dent 34 was left empty." in said
    assert any(line.startswith("Take out the 12 ends from end 13 of stripe 3 on") for line in said)
    assert any(line.startswith("Or move the 66 ends before it") for line in said)
    assert said[-1] == "Every dent of stripe 3 is as it should be."
    assert reed.right()


def test_what_does_not_answer_is_told_and_nothing_is_kept() -> None:
    look = begin(RUNNER, GROUP, 1)
    lines = iter(["x\n", "1/ 2\n", "0 1\n", "9999999\n", "٣\n", "?\n", "b\n", "q\n"])
    told = list(find(look, language("en"), lines.__next__))
    asked = told[1]
    assert told.count(asked) == 7  # after each line that is none, and again after "b"
    assert told.count("answer with the shafts of each end, such as 1 2 or 3/5 4, with 0, ?, b or q") == 5


@pytest.mark.parametrize("code", codes())
def test_all_of_it_is_in_the_language_chosen(code: str) -> None:
    look = begin(RUNNER, GROUP, 1)
    typed = iter(["x\n", *["?\n"] * 40, "30\n"])
    told = list(find(look, language(code), lambda: next(typed, "")))
    assert len(told) > 20
    assert not any(line.startswith("reed ") or "{" in line for line in told)


@pytest.mark.parametrize(
    ("name", "over", "said"),
    [
        ("stripe 30", 1, "there is no group 'stripe 30'; the groups are: right edge, stripe 1, "),
        (GROUP, 13, "a group of 12 dents cannot end 13 dents off"),
        (GROUP, -12, "a group of 12 dents cannot end 12 dents off"),
    ],
)
def test_what_cannot_be_is_one_clear_line(name: str, over: int, said: str) -> None:
    with pytest.raises(FindError) as told:
        begin(RUNNER, name, over)
    assert str(told.value).startswith(said)


def test_without_a_sley_plan_there_is_none_to_look_for() -> None:
    with pytest.raises(PlanError, match="there is no sley plan to follow"):
        begin(loads(b"{shafts: 4, groups: [{name: a, thread: 1 2 3}]}", "bare.yaml"), "a", 0)


UNREAD = ["{", "[1]", '{"x": 1}', '{"shafts": 3}', '{"shafts": [1]}', '{"shafts": ["a"]}', '{"yes": 1}', "[" * 9999]


@pytest.mark.parametrize("line", UNREAD)
def test_json_that_does_not_answer_is_one_clear_line(line: str) -> None:
    with pytest.raises(FindError, match=r"an answer|no answer"):
        list(converse(begin(RUNNER, GROUP, 1), iter([line]).__next__))


def test_at_the_end_of_the_answers_no_more_is_asked() -> None:
    assert len(list(converse(begin(RUNNER, GROUP, 1), iter([""]).__next__))) == 1


def test_a_line_a_question_goes_out_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["find", "hearth-runner", "--group", GROUP, "--reed", "--over", "1", "--json"]) == 0
    assert set(json.loads(capsys.readouterr().out)) == {"question", "dent", "from"}

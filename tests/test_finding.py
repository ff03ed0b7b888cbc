"""Looking for a mistake at the keyboard."""

from pathlib import Path

import pytest

from assistant import cli
from assistant.errors import FindError
from assistant.finder import Ask, Look, Question, Side
from assistant.finding import begin, find
from assistant.session import telling
from assistant.warp import sequence
from assistant.warp.examples import find as example
from assistant.words.language import codes, load
from assistant.words.wording import Wording

RUNNER = sequence.load(example("hearth-runner"))
NAPKIN = sequence.load(example("window-napkin"))
ROSE = [end.shafts[0] for end in RUNNER.groups[3].ends]


def typed(look: Look, loom: list[int]) -> str:
    """What a weaver types who looks."""
    question = look.question
    assert question is not None
    if question.ask is Ask.HEDDLES:
        return "?"
    if question.ask is Ask.RIGHT_UP_TO:
        there = loom[: question.end] if question.side is Side.FIRST else loom[::-1][: question.end]
        return str(int(there == [shaft for (shaft,) in look.should_be]))
    if question.end > len(loom):
        return "0"
    return str(loom[question.end - 1 if question.side is Side.FIRST else -question.end])


def come_to(ask: Ask, look: Look) -> Look:
    """The search where it comes to a question of this kind."""
    while (question := look.question) is not None and question.ask is not ask:
        look = look.not_sure()
    assert question is not None
    return look


def asking(ask: Ask) -> Look:
    """A search that comes to a question of this kind."""
    left = {Ask.COUNT: ["1=1", "2=-1"], Ask.HEDDLES: ["1=0"]}.get(ask, [])
    return come_to(ask, begin(RUNNER, "stripe 3", 0, left, None))


@pytest.mark.parametrize("missing", range(1, 25))
def test_an_end_left_out_is_found_in_a_few_questions(missing: int) -> None:
    loom = ROSE[: missing - 1] + ROSE[missing:]
    looks = [begin(RUNNER, "stripe 3", 1, [], None)]

    def answer() -> str:
        if looks[-1].verdict:
            return "q\n"
        line = typed(looks[-1], loom)
        looks.append(looks[-1].not_sure() if line == "?" else looks[-1].number(int(line)))
        return line + "\n"

    *questions, found, _ = find(looks[0], RUNNER, load("en"), answer)
    assert f"End {missing} of the draft, on shaft" in found
    assert "was left out" in found
    assert len(questions) - 1 <= 11


def test_ends_crossed_behind_the_heddles_are_found_where_every_shaft_is_right() -> None:
    looks = [begin(RUNNER, "stripe 3", 0, [], None)]

    def answer() -> str:
        question = looks[-1].question
        if question is None:
            return "q\n"
        first = question.side is Side.FIRST
        right = question.end < 9 if first else question.end <= len(ROSE) - 10
        told = {Ask.RIGHT_UP_TO: str(int(right)), Ask.COUNT: str(ROSE[: question.end].count(question.shaft))}
        line = told.get(question.ask) or typed(looks[-1], ROSE)
        looks.append(looks[-1].not_sure() if line == "?" else looks[-1].number(int(line)))
        return line + "\n"

    *_, found, _ = find(looks[0], RUNNER, load("en"), answer)
    assert found.startswith(
        "Ends 9 and 10 of the draft are swapped, or crossed behind the heddles, or one is of another yarn. Take out 2 "
    )


def at_choices() -> tuple[Look, list[str]]:
    """A search that has come to an end left out, with what was typed on the way."""
    look, lines = begin(RUNNER, "stripe 3", 1, [], None), []
    while look.verdict is None:
        lines.append(typed(look, ROSE[:5] + ROSE[6:]))
        look = look.not_sure() if lines[-1] == "?" else look.number(int(lines[-1]))
    assert len(look.choices) > 2
    return look, lines


@pytest.mark.parametrize("number", [1, 2, 3])
def test_the_steps_of_a_choice_are_told_by_its_number(number: int) -> None:
    look, _ = at_choices()
    _, found, how, steps = find(look, RUNNER, load("en"), iter([f"{number}\n", "q\n"]).__next__)
    assert how == f"a number from 1 to {len(look.choices)} tells the steps of that choice; b back, q leave"
    words = Wording(load("en"), "thread")
    assert steps == words.text(*telling.chosen(look, look.choices[number - 1], RUNNER))
    assert (steps in found) == (number == 1)


@pytest.mark.parametrize("line", ["0", "9", "x", "?", "1 2"])
def test_a_line_that_names_no_choice_has_all_of_them_told_again(line: str) -> None:
    look, _ = at_choices()
    _, found, how, *again = find(look, RUNNER, load("en"), iter([f"{line}\n", "q\n"]).__next__)
    assert again == [found, how]


def test_back_from_the_choices_is_the_last_question() -> None:
    _, lines = at_choices()
    begun = begin(RUNNER, "stripe 3", 1, [], None)
    said = list(find(begun, RUNNER, load("en"), iter([*lines, "b", lines[-1], "2", "b", "q"]).__next__))
    asked, found, _how, asked_again, found_again, _, steps, asked_once_more = said[len(lines) :]
    assert asked == asked_again == asked_once_more
    assert found == found_again != steps


def test_a_look_for_one_end_too_many_begins_an_end_earlier_in_the_draft() -> None:
    look = begin(RUNNER, "stripe 3", -1, [], None).asking(Question(Ask.RIGHT_UP_TO, 20, Side.LAST, lacking=1))
    (asked,) = telling.question(look, RUNNER)
    assert (
        Wording(load("en"), "thread")
        .text(asked)
        .startswith(
            "Counted from the left of the group, beginning with end 23 of the draft, is each of the first 20 ends"
        )
    )
    assert [shaft for (shaft,) in look.should_be] == ROSE[-2:-22:-1]
    assert look.can_ask(Question(Ask.RIGHT_UP_TO, 23, Side.LAST, lacking=1))
    assert not look.can_ask(Question(Ask.RIGHT_UP_TO, 24, Side.LAST, lacking=1))


def test_heddles_left_make_it_shorter(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    answers = tmp_path / "answers"
    answers.write_text("b\nx\n9\nq\n")
    words = ["find", "hearth-runner", "--group", "stripe 3", "--over", "1"]
    left = [f"{shaft}={int(shaft == 3)}" for shaft in range(1, 5)]
    with answers.open() as stdin:
        monkeypatch.setattr("sys.stdin", stdin)
        assert cli.main([*words, *(f"--left={each}" for each in left)]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[1] == told[2]
    most = begin(RUNNER, "stripe 3", 1, left, None).largest
    assert told.count(NUMBER.format(most=most)) == 2


def test_ends_on_several_shafts_are_answered_with_several_numbers() -> None:
    look = come_to(Ask.SHAFTS, begin(NAPKIN, "last pane", 1, [], None))
    _, asked, following = find(look, NAPKIN, load("en"), iter(["5/1\n", "q\n"]).__next__)
    assert "which shafts is end" in asked
    assert following != asked


NUMBER = "answer with a number from 0 to {most}, ?, b or q"
UNREAD = ["--5", "5" * 5000, "-3", "-", "/", ",", "٣", "³", "+3", "3.0", "0x3", "3 x"]


@pytest.mark.parametrize("line", UNREAD)
@pytest.mark.parametrize("group", ["stripe 3", "last pane"])
def test_a_line_that_is_no_number_is_told_and_nothing_is_kept(group: str, line: str) -> None:
    warp = NAPKIN if group == "last pane" else RUNNER
    look = come_to(Ask.SHAFTS, begin(warp, group, 1, [], None))
    _, asked, told, again = find(look, warp, load("en"), iter([line + "\n", "q\n"]).__next__)
    assert told == NUMBER.format(most=look.largest)
    assert again == asked


@pytest.mark.parametrize(
    ("group", "line", "said"),
    [
        ("last pane", "0 3", "name each shaft once, and 0 by itself where there is no such end"),
        ("last pane", "3/0", "name each shaft once, and 0 by itself where there is no such end"),
        ("last pane", "0 0", "name each shaft once, and 0 by itself where there is no such end"),
        ("last pane", "3,3", "name each shaft once, and 0 by itself where there is no such end"),
        ("last pane", "1 2 3", "no end of this group is on more than 2 shafts: answer with no more numbers than that"),
        ("last pane", "9", NUMBER.format(most=8)),
        ("stripe 3", "0 3", "each end of this group is on one shaft: answer with one number only"),
        ("stripe 3", "1 2", "each end of this group is on one shaft: answer with one number only"),
    ],
)
def test_an_answer_that_cannot_be_is_told_and_nothing_is_kept(group: str, line: str, said: str) -> None:
    warp = NAPKIN if group == "last pane" else RUNNER
    look = come_to(Ask.SHAFTS, begin(warp, group, 1, [], None))
    _, asked, told, again, after = find(look, warp, load("en"), iter([line + "\n", "2\n", "q\n"]).__next__)
    assert (told, again) == (said, asked)
    *_, plain = find(look, warp, load("en"), iter(["2\n", "q\n"]).__next__)
    assert after == plain


@pytest.mark.parametrize(
    ("ask", "line", "said"),
    [
        (Ask.COUNT, "3 4", "answer with one number only"),
        (Ask.COUNT, "-1", NUMBER.format(most=24)),
        (Ask.HEDDLES, "1 0", "answer with one number only"),
        (Ask.HEDDLES, "-25", "answer with a number from -24 to 24, ?, b or q"),
        (Ask.HEDDLES, "-" + "5" * 5000, "answer with a number from -24 to 24, ?, b or q"),
    ],
)
def test_a_count_is_one_number(ask: Ask, line: str, said: str) -> None:
    _, asked, told, again = find(asking(ask), RUNNER, load("en"), iter([line + "\n", "q\n"]).__next__)
    assert (told, again) == (said, asked)


def test_heddles_that_lack_are_told_by_a_number_below_0() -> None:
    _, asked, following = find(asking(Ask.HEDDLES), RUNNER, load("en"), iter(["-1\n", "q\n"]).__next__)
    assert following != asked


@pytest.mark.parametrize("code", codes())
def test_all_of_it_is_in_the_language_chosen(code: str) -> None:
    lines = [f"{line}\n" for line in ("-3", "0 3", "1 2 3", "?", "q")]
    help_line, _, number, _, contradictory, _, too_many, *_ = find(
        come_to(Ask.SHAFTS, begin(NAPKIN, "last pane", 1, [], None)), NAPKIN, load(code), iter(lines).__next__
    )
    phrases = load(code).phrases
    wording = {"unsure": "?", "back": "b", "leave": "q"}
    assert help_line == str(phrases["find: how to answer"]).format(**wording)
    assert number == str(phrases["find: answer"]).format(least=0, most=8, **wording)
    assert contradictory == phrases["find: contradictory"]
    several = phrases["find: too many shafts"]
    assert isinstance(several, dict)
    assert too_many == several["other"].format(count=2)


def test_where_asking_leads_no_further_is_told_in_the_language_chosen() -> None:
    *_, last = find(begin(RUNNER, "stripe 3", 1, [], None), RUNNER, load("de"), lambda: "?\n")
    assert last == "Fragen führt nicht weiter: geh die Gruppe Faden für Faden durch"


@pytest.mark.parametrize(
    ("group", "over", "left", "said"),
    [
        ("stripe 30", 1, [], "there is no group 'stripe 30'; the groups are: right edge, stripe 1, "),
        ("stripe 3", -25, [], "25 ends cannot be short in a group of 24"),
        ("stripe 3", 1000, [], "1000 ends cannot be over in a group of 24"),
        *(
            (
                "stripe 3",
                1,
                [left],
                f"heddles left are {left!r}; write SHAFT=N, shafts 1 to 4: 3=1, or 3=-1 where one lacks",
            )
            for left in ("5=1", "3", "3=x", "=1", "3=--1", "3=٣", f"3={'5' * 5000}")
        ),
    ],
)
def test_what_cannot_be_is_one_clear_line(group: str, over: int, left: list[str], said: str) -> None:
    with pytest.raises(FindError) as told:
        begin(RUNNER, group, over, left, None)
    assert str(told.value).startswith(said)

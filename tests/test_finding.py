"""Looking for a mistake at the keyboard."""

import io

import pytest

from assistant import cli
from assistant.errors import FindError
from assistant.finder import Ask, Look, Side
from assistant.finding import begin, find
from assistant.warp import sequence
from assistant.warp.examples import find as example
from assistant.words.language import load

RUNNER = sequence.load(example("hearth-runner"))
ROSE = [end.shafts[0] for end in RUNNER.groups[3].ends]


def typed(look: Look, loom: list[int]) -> str:
    """What a weaver types who looks."""
    question = look.question
    assert question is not None
    if question.ask is Ask.HEDDLES:
        return "?"
    if question.end > len(loom):
        return "0"
    return str(loom[question.end - 1 if question.side is Side.FIRST else -question.end])


@pytest.mark.parametrize("missing", range(1, 25))
def test_an_end_left_out_is_found_in_a_few_questions(missing: int) -> None:
    loom = ROSE[: missing - 1] + ROSE[missing:]
    looks = [begin(RUNNER, "stripe 3", 1, [], None)]

    def answer() -> str:
        line = typed(looks[-1], loom)
        looks.append(looks[-1].not_sure() if line == "?" else looks[-1].number(int(line)))
        return line + "\n"

    *questions, found = find(looks[0], load("en"), answer)
    assert f"End {missing}, on shaft" in found
    assert "was left out" in found
    assert len(questions) - 1 <= 10


def test_heddles_left_make_it_shorter(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("b\nx\n9\nq\n"))
    words = ["find", "hearth-runner", "--group", "stripe 3", "--over", "1"]
    assert cli.main([*words, *(f"--left={shaft}={int(shaft == 3)}" for shaft in range(1, 5))]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[1] == told[2]
    assert told.count("answer with a number from 0 to 4, ?, b or q") == 2


def test_ends_on_several_shafts_are_answered_with_several_numbers() -> None:
    napkin = sequence.load(example("window-napkin"))
    look = begin(napkin, "last pane", 1, [], None)
    asked = find(look, load("en"), iter(["5/1\n", "5 2\n", "q\n"]).__next__)
    assert sum("Which shafts is end" in line for line in asked) == 3


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
            for left in ("5=1", "3", "3=x", "=1", "3=--1", "3=٣")
        ),
    ],
)
def test_what_cannot_be_is_one_clear_line(group: str, over: int, left: list[str], said: str) -> None:
    with pytest.raises(FindError) as told:
        begin(RUNNER, group, over, left, None)
    assert str(told.value).startswith(said)

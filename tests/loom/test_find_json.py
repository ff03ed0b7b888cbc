"""`heddlecall find --json`, as a program of somebody else's speaks with it, beside the loom."""

import json
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from described import fits
from harness import Due, Loom
from slips import SLIPS, Work, slipped

from assistant.cli import main

SHAFTS = [1, 2, 3, 4, 3, 2] * 4
KINDS = ["skipped", "doubled", "no eye", "swapped", "unit skipped", "call backwards", "crossed", "heddles miscounted"]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    file = tmp_path / "rose.yaml"
    file.write_text(f"{{title: Rose, shafts: 4, groups: [{{name: rose, thread: {' '.join(map(str, SHAFTS))}}}]}}")
    return file


def threaded(kind: str, seed: int) -> tuple[Loom, int]:
    work = Work.of([Due((shaft,), "white") for shaft in SHAFTS], tuple(range(0, len(SHAFTS), 4)), 4)
    list(slipped(work, random.Random(seed), [kind]))
    return work.done()


def reply(loom: Loom, asked: dict[str, Any]) -> dict[str, object]:
    """What is seen on the loom."""
    from_left = asked.get("from") == "left"
    match asked["question"]:
        case "shafts":
            seen = loom.shafts(asked["end"], from_left)
            return {"no_eye": True} if seen == () else {"shafts": list(seen or ())}
        case "count_on_shaft":
            assert not from_left
            return {"count": loom.on_shaft(asked["shaft"], asked["first"])}
        case "heddles_left":
            return {"count": loom.heddles_left(asked["shaft"])}
        case "right_up_to":
            draft = [[shaft] for shaft in (SHAFTS[::-1] if from_left else SHAFTS)]
            assert asked["shafts"] == draft[: asked["end"]]
            return {"yes": loom.right_up_to(asked["end"], from_left)}
    raise AssertionError(asked)


def spoken_with(loom: Loom, file: Path, *how: str) -> dict[str, Any]:
    """The result, after its questions were answered truly."""
    words = [sys.executable, "-m", "assistant", "find", str(file), "--group", "rose", "--json", *how]
    asked = 0
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as talk:
        assert talk.stdin
        assert talk.stdout
        while "result" not in (said := json.loads(talk.stdout.readline())):
            asked += 1
            fits("find", said)
            print(json.dumps(reply(loom, said)), file=talk.stdin, flush=True)
        assert not talk.stdout.readline()
    fits("find", said)
    assert (talk.returncode, said.pop("asked")) == (0, asked)
    return said  # type: ignore[no-any-return]


@pytest.mark.parametrize("kind", KINDS)
def test_a_mistake_is_set_right_by_what_it_says(kind: str, file: Path) -> None:
    assert kind in SLIPS
    loom, over = threaded(kind, 3)
    how = {-1: ("--short", str(-over)), 0: ("--even",), 1: ("--over", str(over))}[(over > 0) - (over < 0)]
    left = [f"--heddle-left={shaft}={loom.heddles_left(shaft)}" for shaft in (1, 3)] if kind == "skipped" else []
    said = spoken_with(loom, file, *how, *left)
    if said["result"] == "repair":
        out = said["take_out"]
        assert out["from"] == "right"
        loom.take_out(out["first"], out["count"])
        loom.thread(out["first"], said["thread"])
    else:
        assert said == {"result": "right"}
    assert loom.right


def test_where_heddles_hold_several_ends_it_asks_for_heddles_and_says_how(tmp_path: Path) -> None:
    file = tmp_path / "pairs.yaml"
    file.write_text("{shafts: 4, groups: [{name: rose, thread: 4(1*2 2 3 4 3 2)}]}")
    draft = [Due((shaft,), "white", 1 + (at % 6 == 0)) for at, shaft in enumerate(SHAFTS)]
    work = Work.of(draft, tuple(range(0, len(SHAFTS), 6)), 4, True)
    assert list(slipped(work, random.Random(3), ["one of a pair left out"]))
    loom, lacking = work.done()
    said = spoken_with(loom, file, "--short" if lacking < 0 else "--over", str(abs(lacking)))
    assert (said["result"], said["way"]) == ("repair", "add end")


FORMS = {
    "right_up_to": '{"yes": true}, {"yes": false}, {"unsure": true}',
    "shafts": '{"shafts": [3]}, {"shafts": []}, {"no_eye": true}, {"unsure": true}',
}
MALFORMED = [
    "yes", "[]", "{}", "null", '{"shafts": 3}', '{"shafts": [5]}', '{"shafts": [0]}', '{"shafts": [true]}',
    '{"shafts": [3, 3]}', '{"no_eye": false}', '{"count": 1}', '{"yes": 1}', '{"unsure": true, "yes": true}',
    '{"unsure": false}', "[" * 900,
]  # fmt: skip


@pytest.mark.parametrize("line", MALFORMED)
def test_what_is_no_answer_is_one_clear_line(
    line: str, file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "answers").write_text(f'{{"unsure": true}}\n{line}\n')
    with (tmp_path / "answers").open() as stdin:
        monkeypatch.setattr("sys.stdin", stdin)
        assert main(["find", str(file), "--group", "rose", "--over", "1", "--json"]) == 2
    told, error = capsys.readouterr()
    _, asked = map(json.loads, told.splitlines())
    (complaint,) = error.splitlines()
    assert complaint.startswith(f'heddlecall: answer 2, {line[:100]!r}, does not answer "{asked["question"]}"; ')
    assert complaint.endswith(FORMS[asked["question"]])


def test_answers_that_end_too_early_are_told(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with Path("/dev/null").open() as stdin:
        monkeypatch.setattr("sys.stdin", stdin)
        assert main(["find", str(file), "--group", "rose", "--even", "--json"]) == 2
    assert capsys.readouterr().err.startswith("heddlecall: answer 1 is missing: write one of these on a line for")

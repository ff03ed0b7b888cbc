"""Every attack still runs and holds, with a few tries; tells what it is, and stands in the index."""

import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ATTACK = ROOT / "tests" / "attack"
ALL = ATTACK / "all.py"
SCRIPTS = sorted(ATTACK.glob("*.py"))
ATTACKS = [script for script in SCRIPTS if script != ALL]
AT_A_TIME = 2
SUMMARY = r"held; [\d,]+ tries, 0 found; at worst [\d.]+ s, \d+ MB; took \d+ s, seed 1"


def asked(script: Path, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, script, *options], capture_output=True, text=True, check=False, cwd=ROOT)


def test_every_attack_tells_its_options_with_an_example() -> None:
    with ThreadPoolExecutor(AT_A_TIME) as together:
        told = dict(zip(SCRIPTS, together.map(lambda script: asked(script, "--help"), SCRIPTS), strict=True))
    assert {script.name: done.stderr for script, done in told.items() if done.returncode} == {}
    assert [
        script.name for script, done in told.items() if f"python tests/attack/{script.name}" not in done.stdout
    ] == []


def test_all_of_them_hold_for_a_few_tries_and_end_with_one_table() -> None:
    done = asked(ALL, "--tries", "3", "--seconds", "3")
    assert done.returncode == 0, done.stdout + done.stderr
    *_, table = done.stdout.rpartition("attack ")
    for script in ATTACKS:
        told = re.search(rf"^{script.stem}: (not tried; .*|{SUMMARY})$", done.stdout, re.MULTILINE)
        assert told, done.stdout
        assert re.search(rf"^{script.stem} .* (held|not tried)$", table, re.MULTILINE), table
    assert table.splitlines()[-1].startswith(f"{len(ATTACKS)} attacks in ")


@pytest.mark.parametrize(
    ("attack", "code", "told"),
    [
        ("tally.found.append('a step is lost')", 1, "a step is lost\nmade: NOT HELD; 2 tries, 2 found; "),
        (
            "raise CannotBeTried('no loom')",
            3,
            "made cannot be tried here: no loom\nmade: not tried; 1 tries, 0 found; ",
        ),
        ("raise KeyboardInterrupt", 1, "the attack broke off: KeyboardInterrupt \nmade: NOT HELD; 1 tries, 1 found; "),
        ("sys.exit(0)", 1, "made: NOT HELD; 1 tries, 1 found; "),
        ("tally.took(1 / 0)", 1, "made: NOT HELD; 1 tries, 1 found; "),
    ],
)
def test_what_does_not_hold_or_cannot_be_tried_is_told_and_is_the_exit_code(
    attack: str, code: int, told: str, tmp_path: Path
) -> None:
    script = tmp_path / "made.py"
    script.write_text(
        "import sys\nfrom frame.trying import CannotBeTried, run\n"
        f"def attack(wish, tally):\n    for _ in wish.chances(tally):\n        {attack}\n"
        "run(None, attack, tries=2, seconds=60)\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(ATTACK)}
    done = subprocess.run([sys.executable, script], capture_output=True, text=True, check=False, env=environment)
    assert done.returncode == code
    assert told in done.stdout


def test_shares_of_an_attack_try_what_it_tries_alone_and_one_that_breaks_off_is_told(tmp_path: Path) -> None:
    script = tmp_path / "made.py"
    script.write_text(
        "import sys\nfrom frame.trying import at_once, run\n"
        "def alone(wish, tally):\n    tally.told += [str(chance.random()) for chance in wish.chances(tally)]\n"
        "def broken(wish, tally):\n    alone(wish, tally)\n    tally.took(1 / (wish.first - 1))\n"
        "def shared(wish, tally):\n    at_once(3, alone, wish, tally)\n"
        "def lame(wish, tally):\n    at_once(3, broken, wish, tally)\n"
        "run(None, globals()[sys.argv.pop()], tries=7, seconds=60)\n"
    )
    told, environment = {}, {**os.environ, "PYTHONPATH": str(ATTACK)}
    for attack in ("alone", "shared", "lame"):
        done = subprocess.run(
            [sys.executable, script, attack], capture_output=True, text=True, check=False, env=environment
        )
        told[attack] = done.stdout.splitlines()
    assert len({*told["alone"][:-1]}) == 7
    assert sorted(told["shared"][:-1]) == sorted(told["alone"][:-1])
    assert "made: held; 7 tries, 0 found; " in told["shared"][-1]
    assert "ZeroDivisionError" in "".join(told["lame"])
    assert "made: NOT HELD; 7 tries, 1 found; " in told["lame"][-1]


def test_the_index_names_every_attack_once_and_no_other() -> None:
    index = (ATTACK / "README.md").read_text(encoding="utf-8")
    assert sorted(re.findall(r"^\| \[(\w+\.py)\]\(\1\) \|", index, re.MULTILINE)) == [each.name for each in SCRIPTS]


def test_whatever_is_imported_and_not_run_lies_in_the_frame() -> None:
    runs = 'if __name__ == "__main__":'
    assert [each.name for each in SCRIPTS if runs not in each.read_text(encoding="utf-8")] == []
    assert [each.name for each in (ATTACK / "frame").glob("*.py") if runs in each.read_text(encoding="utf-8")] == []

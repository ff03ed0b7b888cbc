"""Shells complete what is typed, asked as they ask: bash and fish by their own machinery."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from assistant import cli, settings


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """With a heddlecall that is this one, and a weaver who taught the ear."""
    program = tmp_path / "bin" / "heddlecall"
    program.parent.mkdir()
    here = Path(cli.__file__).parents[2]
    program.write_text(f'#!/bin/sh\nPYTHONPATH={here} exec {sys.executable} -m assistant "$@"\n')
    program.chmod(0o755)
    weavers = tmp_path / "data" / "weavers"
    weavers.mkdir(parents=True)
    (weavers / "aino.npz").touch()
    places = {"HEDDLECALL_DATA": "data", "XDG_CONFIG_HOME": "config", "HOME": ""}
    return {
        **os.environ,
        **{name: str(tmp_path / place) for name, place in places.items()},
        "PATH": f"{program.parent}:{os.environ['PATH']}",
    }


BASH = """
eval "$(heddlecall completion bash)"
COMP_LINE="$1" COMP_POINT=${#1} COMP_TYPE=9 COMP_WORDS=($1) COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
_python_argcomplete heddlecall
printf "%s\\n" "${COMPREPLY[@]}"
"""
FISH = "heddlecall completion fish | source; complete -C $argv[1]"
SHELLS = [
    pytest.param(words, marks=pytest.mark.skipif(shutil.which(words[0]) is None, reason=f"{words[0]} is not installed"))
    for words in (("bash", "-c", BASH, "bash"), ("fish", "-c", FISH))
]


@pytest.mark.parametrize("asking", SHELLS, ids=["bash", "fish"])
@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("heddlecall thr", {"thread"}),
        ("heddlecall thread first", {"first-evening"}),
        ("heddlecall thread x --weaver ai", {"aino"}),
        ("heddlecall plan x --paper le", {"letter"}),
        ("heddlecall settings volume-", {"volume-cap"}),
        ("heddlecall thread x --no-ni", {"--no-night"}),
    ],
)
def test_a_shell_offers_what_could_be_meant(
    asking: tuple[str, ...], line: str, offered: set[str], env: dict[str, str]
) -> None:
    done = subprocess.run([*asking, line], env=env, capture_output=True, text=True, check=False)
    assert {word.split("\t")[0].strip() for word in done.stdout.splitlines()} == offered, done.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_script_is_printed_as_it_is(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["completion", shell]) == 0
    printed = capsys.readouterr().out
    assert "heddlecall" in printed
    if program := shutil.which(shell):
        assert subprocess.run([program, "-n"], input=printed, text=True, check=False).returncode == 0


def test_settings_that_cannot_be_read_are_nothing_to_a_shell(
    env: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", env["XDG_CONFIG_HOME"])
    settings.path().parent.mkdir(parents=True)
    settings.path().write_text("volume: [")
    done = subprocess.run(["heddlecall", "completion", "fish"], env=env, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")

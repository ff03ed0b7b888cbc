"""Nothing leaves the machine, and nothing is left behind but in folders of ours and where it was asked for."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import every_command
import pytest
from alone import WHY_NOT, Done, Hermitage, can_be_apart
from cable import MISSING, sound_server
from every_command import EVENING, FRONT_DOOR, INTERNET, record

from assistant.cli import families
from assistant.cli.command import Command

apart = pytest.mark.skipif(not can_be_apart(), reason=WHY_NOT)

SPEAKS = """
import sys, time
from assistant.rehearsal.weaver_voice import open_voice
for name in ("joe", "hibari"):
    open_voice(name, "en-us").say("even")
time.sleep(float(sys.argv[1]))
"""
LOOKS_UP_S = 9.0  # by then onnxruntime 1.32, left to itself, has asked the name server for its collector, after 7 s
LOOPBACK = re.compile(r"127\.0\.0\.1|\('127\.0\.0\.1', \d+\)")
OURS = ("home/.cache/heddlecall/", "home/.local/share/heddlecall/")
OF_THE_SYSTEM = (
    "home/.config/pulse/",
    "home/.cache/fontconfig/",
)  # kept for all programs: the user's cookie, and fonts
GUEST = Path(__file__).with_name("page_guest.py")


@apart
def test_whatever_asks_the_network_is_counted(tmp_path: Path) -> None:
    native = "import ctypes; ctypes.CDLL(None).gethostbyname(b'loom.example')"
    hermitage = Hermitage(tmp_path)
    assert hermitage.run("-c", native).asked > 0
    assert hermitage.run("-c", "import socket; socket.gethostname()").asked == 0


def test_whatever_python_does_is_noted(tmp_path: Path) -> None:
    does = """
import pathlib, socket, sqlite3, sys
pathlib.Path(sys.argv[1]).write_text("")
sqlite3.connect(sys.argv[2])
socket.socket(socket.AF_INET, socket.SOCK_DGRAM).connect(("127.0.0.1", 9))
open(sys.argv[1])
"""
    written, kept = tmp_path / "written", tmp_path / "kept"
    done = Hermitage(tmp_path).run("-c", does, str(written), str(kept))
    assert done.wrote == {written, kept}
    assert done.called == [("socket.connect", "('127.0.0.1', 9)")]


def test_the_neural_voices_tell_nobody_and_leave_nothing(tmp_path: Path) -> None:
    hermitage = Hermitage(tmp_path)
    done = hermitage.run("-c", SPEAKS, str(LOOKS_UP_S))
    assert (done.code, done.error, done.called, done.asked) == (0, "", [], 0)
    assert hermitage.left() == set()


@dataclass(frozen=True)
class Evening:
    """All of an evening, in one home."""

    hermitage: Hermitage
    brought: set[str]  # files that were there before
    commands: Done
    page: Done


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """Where a sound server is, if there can be one."""
    if MISSING:
        yield {}
        return
    with sound_server(tmp_path_factory.mktemp("sound")) as server:
        yield {"PULSE_SERVER": server["PULSE_SERVER"]}


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory, sound: dict[str, str]) -> Evening:
    hermitage = Hermitage(tmp_path_factory.mktemp("alone"))
    list(record(hermitage.desk / "said"))
    brought = hermitage.left()
    commands = hermitage.run(every_command.__file__, **sound)
    return Evening(hermitage, brought, commands, hermitage.run(str(GUEST), every_command.WARP))


def leaves(commands: list[Command], *before: str) -> Iterator[str]:  # type: ignore[type-arg]
    for command in commands:
        yield " ".join((*before, command.name))
        yield from leaves(list(command.under), *before, command.name)


def test_every_command_is_among_those_of_the_evening() -> None:
    every = {*leaves(families.commands()), FRONT_DOOR} - {INTERNET}
    assert {name for name in every if any(f"{each.words} ".startswith(f"{name} ") for each in EVENING)} == every


def test_every_command_does_without_any_network(evening: Evening) -> None:
    came_to = [json.loads(line) for line in evening.commands.error.splitlines() if line.startswith("[")]
    assert came_to == [[each.words, each.code] for each in EVENING], evening.commands.error
    assert evening.page.code == 0, evening.page.error


@apart
def test_no_command_asks_anything_of_a_network(evening: Evening) -> None:
    assert evening.commands.asked == evening.page.asked == 0


def test_no_command_opens_a_socket_but_the_page(evening: Evening) -> None:
    assert evening.commands.called == []
    assert evening.page.called
    assert [call for call in evening.page.called if not LOOPBACK.fullmatch(call[1])] == []


def test_files_are_left_in_our_folders_only_and_where_they_were_asked_for(evening: Evening) -> None:
    asked_for = {f"desk/{name}" for each in EVENING for name in each.asked_for}
    left = evening.hermitage.left() - evening.brought
    assert asked_for <= left
    assert {file for file in left - asked_for if not file.startswith((*OURS, *OF_THE_SYSTEM))} == set()


def test_python_writes_nowhere_else_either(evening: Evening) -> None:
    hermitage = evening.hermitage
    within = (
        hermitage.desk,
        hermitage.temporary,
        hermitage.home / ".cache",
        hermitage.home / ".local",
        Path("/dev/null"),
    )
    assert {
        path
        for path in evening.commands.wrote | evening.page.wrote
        if not any(path.is_relative_to(folder) for folder in within)
    } == set()

"""Every command: found by its file, helped with, and strict about what is typed."""

import argparse
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest
from refusal import refused

from assistant import cli
from assistant.cli import families
from assistant.cli.command import Command


def walked(commands: list[Command], *before: str) -> Iterator[tuple[str, ...]]:  # type: ignore[type-arg]
    for command in commands:
        yield (*before, command.name)
        yield from walked(list(command.under), *before, command.name)


EVERY = list(walked(families.commands()))


@pytest.fixture(autouse=True)
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)


GREETING = '''
from dataclasses import dataclass

from assistant.cli.command import Command, When, argument


@dataclass(frozen=True, kw_only=True)
class GreetOptions:
    """Whom."""

    name: str = argument("--name", required=True, help="whom to greet")


def _greet(options):
    print(f"good evening, {options.name}")


COMMANDS = (Command("greet", "say good evening", GreetOptions, _greet, When.BESIDE),)
'''


def test_adding_a_command_is_one_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tmp_path.joinpath("greetings_of_a_test.py").write_text(GREETING)
    monkeypatch.setattr(cli, "__path__", [*cli.__path__, str(tmp_path)])
    assert cli.main(["greet", "--name", "Aino"]) == 0
    assert capsys.readouterr().out == "good evening, Aino\n"
    with pytest.raises(SystemExit):
        cli.main(["--help"])
    assert "say good evening" in capsys.readouterr().out


@pytest.mark.parametrize("words", EVERY, ids=" ".join)
def test_every_command_has_help_that_names_what_it_takes(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    with pytest.raises(SystemExit) as end:
        cli.main([*words, "--help"])
    assert end.value.code == 0
    told = capsys.readouterr().out
    assert told.startswith(f"usage: heddlecall {' '.join(words)} ")
    commands = families.commands()
    for name in words:
        (command,) = (each for each in commands if each.name == name)
        commands = list(command.under)
    for argument in command.arguments().values():
        assert all(name in told for name in argument.names)
        assert argument.settings["help"]


def test_the_options_of_a_command_are_frozen_values() -> None:
    for command in (*families.commands(), *(under for each in families.commands() for under in each.under)):
        assert is_dataclass(command.options)
        assert command.options.__dataclass_params__.frozen  # type: ignore[attr-defined]
        assert set(command.arguments()) == {field.name for field in fields(command.options)}


def test_what_a_command_is_given_is_not_what_was_typed() -> None:
    command, options = cli.parsed(["calls", "first-evening", "--language", "ko", "--job", "tie"])
    assert command.name == "calls"
    assert not isinstance(options, argparse.Namespace)
    assert (options.language.code, options.job.name, options.size) == ("ko", "tie", None)


@pytest.mark.parametrize(
    "words",
    [
        ["--vers"],
        ["calls", "first-evening", "--jso"],
        ["calls", "first-evening", "--lang", "ko"],
        ["thread", "first-evening", "--mut", "--deaf"],
        ["thread", "first-evening", "--pag"],
        ["models", "add", "de", "--fro", "x.zip"],
        ["rehearse", "first-evening", "--mistake", "skip@3", "--mistakes", "4"],
    ],
)
def test_an_option_is_taken_by_its_whole_name_only(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    assert "arguments" in refused(capsys, *words)


NUMBERS = [
    *(("rehearse first-evening --mistakes-per-1000 1", name) for name in ("--seed", "--runs")),
    *(("rehearse first-evening --mistakes-per-1000 1", name) for name in ("--wrong-answers", "--misheard")),
    ("rehearse first-evening", "--mistakes-per-1000"),
    ("rehearse first-evening", "--mistake"),
    *(("speak hello --out x.wav", name) for name in ("--volume", "--speed")),
    *(("end first-evening", name) for name in ("--end", "--dent", "--from-right", "--from-left")),
    ("end first-evening --from-left 1in", "--cloth-width"),
    ("teach --weaver Aino", "--numbers"),
    ("calls first-evening", "--per-call"),
    ("plan first-evening --card card.html", "--per-call"),
    *(("plan first-evening", name) for name in ("--reeds", "--reed-width", "--section", "--cloth")),
    *(("plan first-evening --cloth 1m", name) for name in ("--take-up", "--shrinkage", "--waste", "--waste-tied")),
    ("wind first-evening --mute --deaf --plain", "--together"),
    ("thread first-evening --mute --deaf --plain", "--per-call"),
    ("thread first-evening --mute --deaf --plain", "--stand-up"),
    ("thread first-evening --mute --deaf --plain", "--volume-cap"),
    ("thread first-evening --mute --deaf --plain", "--bounce"),
    ("check first-evening --mute --deaf --plain", "--pace"),
    *(("find first-evening --group middle", name) for name in ("--over", "--short", "--heddle-left", "--per-call")),
]
HOSTILE = [
    "-1",
    "-999999999",
    "1" + "0" * 30,
    "1e5",
    "٣",
    "",
    " ",
    "nan",
    "inf",
    "-inf",
    "1_0",
    "0x10",
    "3 4",
    "--",
    "1\n2",
]
FINE = {("--volume-cap", "-1"), ("--volume", "-1")}  # dB


@pytest.mark.parametrize("value", HOSTILE, ids=lambda value: ascii(value)[:20])
@pytest.mark.parametrize(("words", "option"), NUMBERS)
def test_a_number_that_cannot_be_is_refused_in_one_line(
    capsys: pytest.CaptureFixture[str], words: str, option: str, value: str
) -> None:
    if (option, value) not in FINE:
        assert len(refused(capsys, *words.split(), f"{option}={value}")) < 300


@pytest.mark.parametrize(
    "words",
    [
        ["calls", "no such\nfile.yaml"],
        ["no such\ncommand"],
        ["calls", "first-evening", "one\nmore"],
        ["find", "first-evening", "--group", "no such\ngroup"],
        ["import", "no such\nfile.wif", "-o", "x.yaml", "--start", "right"],
        ["import", "x.wif", "-o", "x.yaml", "--start", "up\nside"],
        ["models", "add", "no such\nlanguage"],
        ["calls", "first-evening", "--job", "no such\njob"],
        ["pedal", "--source", "no such\nsource"],
        ["hear", "x.wav", "--ear", "no such\near"],
    ],
)
def test_a_complaint_is_one_line_whatever_was_typed(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    refused(capsys, *words)


def run(*words: str, **settings: object) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(  # type: ignore[call-overload, no-any-return]
        [sys.executable, "-m", "assistant", *words], stderr=subprocess.PIPE, text=True, check=False, **settings
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full device to print to")
def test_a_full_disk_is_one_line() -> None:
    with open("/dev/full", "w") as full:
        done = run("calls", "first-evening", stdout=full)
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "No space left" in done.stderr

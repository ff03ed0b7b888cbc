"""Whatever commands print for programs is described, key by key: docs/machines.md and docs/schemas."""

import json
import re
from collections.abc import Iterator
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any

import manual
import numpy as np
import pytest
import soundfile
from described import SCHEMAS, fits, parts, schema
from jsonschema import Draft202012Validator
from said import voice

from assistant import cli
from assistant.cli.command import Command
from assistant.cli.families import commands
from assistant.senses.ear.glance import as_json
from assistant.senses.ear.room import Measures
from assistant.senses.sound import EAR_RATE
from assistant.session.edit import Follows, Revision
from assistant.session.events import Event, Kind, Origin
from assistant.session.journal import Journal, default_path
from assistant.warp import sequence

PAGE = SCHEMAS.parent / "machines.md"
CONVERSES = "find"  # with a program that answers: tests/loom/ holds each of its lines against the schema
WARP = """
{title: Runner, shafts: 4, sett: 15, reed: 10, sley: [2], reed_width: 24, heddles: {1: 20},
 yarns: {flax: {name: line flax, metres_per_kg: 9000}}, groups: [
  {name: edge, thread: "8(1 2)", yarn: flax}, {name: rose, thread: "3(1..4)", times: 2, yarn: flax}]}
"""
EVENINGS: dict[str, tuple[Kind | int, ...]] = {  # each begins by sitting down, and 16 ends are in the first group
    "heddles": (*[Kind.NEXT] * 30, Kind.LEAVE),
    "tie": (Kind.NEXT, Kind.LEAVE),
    "sley": (*[Kind.NEXT] * 4, Kind.UNEVEN, 2, 1, Kind.RESUME, Kind.NEXT, Kind.LEAVE),
    "thread": (
        *[Kind.NEXT] * 4, Kind.SHORT, 1, Kind.PASS_ON, Kind.NEXT, Kind.NEXT, Kind.UNCLEAR, Kind.NEXT, Kind.BACK,
        Kind.NOTE, Kind.NEXT, Kind.NEXT, Kind.SHORT, 2, Kind.REDO, Kind.LEAVE,
    ),
}  # fmt: skip
RUNS = (
    *("calls runner.yaml", "calls runner.yaml --job wind", "calls runner.yaml --job heddles"),
    *(
        "calls runner.yaml --job sley",
        "calls runner.yaml --job sley --call-from centre",
        "calls runner.yaml --job tie --per-call 2",
        "calls winter-blanket --language ko",
    ),
    "doctor",
    *("end runner.yaml --end 3", "end runner.yaml --dent 4", "end first-evening --end 1"),
    *(
        f"end {file} --end 9 --fault {stage}"
        for file in ("runner.yaml", "first-evening")
        for stage in ("woven", "tied")
    ),
    *("hear next.wav low.wav", "hear three.wav --numbers"),
    *("log", "log runner.yaml --job heddles", "log --job sley", "log --job tie --language de", "log --pace"),
    *("log --all", "records"),
    "models",
    *("next runner.yaml", "next first-evening"),
    *("plan runner.yaml --cloth 3yd --reeds 8,10", "plan first-evening", "plan lakeside-scarf", "plan orchard-shawl"),
    *("plan runner.yaml --width 9 --cloth 3yd --weft flax", "plan --width 20in --sett 20 --yarn 12/15Ne --put-up 8oz"),
    *("rehearse runner.yaml --mistake skip@3", "rehearse runner.yaml --mistakes-per-1000 40"),
    *("rehearse first-evening --job heddles", "rehearse first-evening --job tie"),
    *("settings", "settings volume", "settings speed --for Aino"),
)


def with_json(among: list[Command[Any]]) -> Iterator[str]:
    for command in among:
        if "json" in command.arguments():
            yield command.name
        yield from with_json(list(command.under))


JSON = sorted(with_json(commands()))


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, list[Any]]]:
    """By command, every line of JSON that the runs print, one after the other in one home."""
    pytest.importorskip("hibari", reason="the weaver's voice is not installed")
    home = tmp_path_factory.mktemp("machines")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(home))
        for name in ("HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
            patch.setenv(name, str(home / name))
        patch.chdir(home)
        _brought()
        told: dict[str, list[Any]] = {command: [] for command in JSON}
        for words in map(str.split, RUNS):
            with redirect_stdout(StringIO()) as out:
                assert cli.main([*words, "--json"]) in (0, 1), words
            told[words[0]] += map(json.loads, out.getvalue().splitlines())
        told["hear"].append({"file": "microphone", "room": as_json(Measures(noise=-60.0, voice=-20.0, echo=0.4))})
        yield told


def _brought() -> None:
    """A warp with its records, recordings, and settings that are kept."""
    file = Path("runner.yaml")
    file.write_text(WARP, encoding="utf-8")
    warp = sequence.load(file)
    texts = {Kind.NOTE: "a knot", Kind.SIT_DOWN: "Aino"}
    with Journal(default_path()) as journal:
        for hours, (job, steps) in enumerate(EVENINGS.items()):
            began = 1_780_000_000.0 + 3600 * hours
            record = journal.begin(file.resolve(), job, warp, began)
            if job == "tie":  # begun, and edited before anything was done
                record = journal.revise(record, Revision(warp, tuple(map(Follows, range(len(warp.groups))))), began)
            keep = journal.keep(record)
            for n, step in enumerate((Kind.SIT_DOWN, *steps)):
                kind, number = (Kind.NUMBER, step) if isinstance(step, int) else (step, None)
                keep(Event(kind, began + 20.0 * n, number, Origin.VOICE, text=texts.get(kind, "")))
    soundfile.write("next.wav", voice().say("next", 0), EAR_RATE)
    soundfile.write("low.wav", np.zeros(8000, np.int16), 8000)
    soundfile.write("three.wav", voice().say("three", 0), EAR_RATE)
    assert cli.main(["settings", "volume", "-12"]) == 0
    assert cli.main(["settings", "speed", "190", "--for", "Aino"]) == 0


def test_every_command_with_json_has_a_schema_and_is_told_of() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert sorted(file.stem for file in SCHEMAS.glob("*.json")) == JSON
    assert [command for command in JSON if f"(schemas/{command}.json)" not in page] == []


@pytest.mark.parametrize("command", JSON)
def test_a_schema_describes_every_key_and_allows_no_other(command: str) -> None:
    Draft202012Validator.check_schema(schema(command))
    for each in parts(schema(command)):
        if each.get("type") == "object":
            assert each["additionalProperties"] is False or "$ref" in each["additionalProperties"]
        for name, told in each.get("properties", {}).items():
            assert told.get("description") or "$ref" in told, name


@pytest.mark.parametrize("command", [command for command in JSON if command != CONVERSES])
def test_what_is_printed_is_as_described(command: str, printed: dict[str, list[Any]]) -> None:
    assert printed[command]
    for told in printed[command]:
        fits(command, told)


def test_nothing_is_described_that_is_never_printed(printed: dict[str, list[Any]]) -> None:
    described = {name for command in printed for each in parts(schema(command)) for name in each.get("properties", {})}
    described -= {name for each in parts(schema(CONVERSES)) for name in each.get("properties", {})}
    assert described - {name for told in printed.values() for each in parts(told) for name in each} == set()


def test_the_conversation_that_is_shown_is_one() -> None:
    [shown] = re.findall(r"```json\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    for line in shown.splitlines():
        fits(CONVERSES, json.loads(line))


def test_a_key_that_is_not_described_would_be_found() -> None:
    setting = {"name": "volume", "value": "-12", "line": None, "weaver": None}
    fits("settings", [setting])
    with pytest.raises(AssertionError, match="'since' was unexpected"):
        fits("settings", [setting | {"since": 1}])


def test_the_exit_codes_are_those_of_the_manual_page() -> None:
    told = PAGE.read_text(encoding="utf-8")
    assert re.findall(r"^\| (\d+) \|", told, re.MULTILINE) == list(manual.EXIT_CODES)

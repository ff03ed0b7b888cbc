"""Settings stand in for options that were not typed, and the command shows and changes them."""

import json
from pathlib import Path
from typing import Any

import pytest
from refusal import refused

from assistant import cli, settings
from assistant.cli import families


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))


def keep(*lines: str) -> None:
    settings.path().parent.mkdir(exist_ok=True)
    settings.path().write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")


def options(*words: str) -> Any:
    return cli.parsed(words)[1]


def test_an_option_that_was_not_typed_is_as_it_was_kept() -> None:
    keep("language: de", "volume: -12", "night: yes", "stand-up: 0", "thread-per-call: 6", "paper: letter", "pedal: no")
    thread = options("thread", "first-evening")
    assert (thread.language.code, thread.volume, thread.night, thread.stand_up) == ("de", -12, True, 0)
    assert (thread.pedal, options("thread", "first-evening", "--pedal").pedal) == (False, True)
    assert (thread.size, thread.usual_size) == (None, 6)
    assert options("sley", "first-evening").usual_size is None
    assert options("plan", "first-evening").paper.name == "letter"


def test_what_is_typed_comes_first() -> None:
    keep("language: de", "volume: -12", "night: yes")
    thread = options("thread", "first-evening", "--language=fi", "--volume", "-3", "--no-night")
    assert (thread.language.code, thread.volume, thread.night) == ("fi", -3, False)


def test_what_a_weaver_keeps_comes_before_what_everybody_keeps() -> None:
    keep("weaver: anna", "speed: 160", "volume: -12", "weavers:", "  anna: {speed: 190}", "  berta: {speed: 120}")
    assert [options("speak").speed, options("thread", "x", "--weaver", "berta").speed] == [190, 120]
    assert options("thread", "x", "--weaver", "carla").speed == 160


def test_a_weaver_who_has_taught_nothing_is_heard_as_everybody_is() -> None:
    keep("weaver: anna")
    assert options("thread", "x").weaver is None
    assert options("thread", "x", "--weaver", "anna").weaver == "anna"


def test_an_option_rules_out_what_it_does_not_go_together_with() -> None:
    keep("headset: yes")
    thread = options("thread", "x", "--echo-canceller")
    assert (thread.headset, thread.echo_canceller) == (False, True)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (("volume: loud",), ":1:9: volume: 'loud' is no volume; write -30 to 0"),
        (("# mine", "night: perhaps"), ":2:8: night: 'perhaps' is neither yes nor no"),
        (("ear: brass",), ":1:6: ear: 'brass' is none of built-in, vosk"),
        (("headset: yes", "echo-canceller: yes"), "echo-canceller and headset do not go together; keep one of them"),
        (("thread-per-call: 13",), ":1:18: thread-per-call: '13' is no whole number from 1 to 12"),
        (("langauge: de",), ":1:1: unknown key 'langauge'; did you mean 'language'?"),
    ],
)
def test_a_setting_that_cannot_be_is_one_line(
    lines: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    keep(*lines)
    assert told in refused(capsys, "thread", "first-evening", "--mute", "--deaf", "--plain")


def test_the_command_keeps_shows_and_forgets(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["settings", "speed", "190", "--for", "anna"]) == 0
    assert cli.main(["settings", "volume", "-12"]) == 0
    assert cli.main(["settings", "weaver", "anna"]) == 0
    capsys.readouterr()
    cli.main(["settings", "--json"])
    shown = {row["name"]: row for row in json.loads(capsys.readouterr().out)}
    assert shown["speed"] == {"name": "speed", "value": "190", "line": 3, "weaver": "anna"}
    assert shown["volume"] == {"name": "volume", "value": "-12", "line": 4, "weaver": None}
    assert shown["language"] == {"name": "language", "value": "en", "line": None, "weaver": None}
    cli.main(["settings", "speed", "--forget", "--for", "anna"])
    cli.main(["settings", "volume", "--forget"])
    assert settings.path().read_text() == "weaver: anna\n"


def test_a_value_that_cannot_be_is_not_kept(capsys: pytest.CaptureFixture[str]) -> None:
    keep("speed: 160")
    assert "no speed" in refused(capsys, "settings", "speed", "9000")
    assert "did you mean 'speed'" in refused(capsys, "settings", "sped", "190")
    assert "takes no value" in refused(capsys, "settings", "speed", "190", "--forget")
    assert "holds for everybody" in refused(capsys, "settings", "weaver", "anna", "--for", "anna")
    assert settings.path().read_text() == "speed: 160\n"


def test_a_value_that_cannot_be_is_mended_by_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    keep("language: xx", "speed: 160")
    assert "no language" in refused(capsys, "next", "first-evening")
    assert cli.main(["settings", "language", "fi"]) == 0
    assert options("next", "first-evening").language.code == "fi"


def test_the_call_sheet_goes_by_the_size_that_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    def longest(*words: str) -> int:
        assert cli.main(["calls", "first-evening", "--json", *words]) == 0
        return max(len(call["ends"]) for call in json.loads(capsys.readouterr().out)["calls"])

    keep("thread-per-call: 2", "sley-per-call: 1")
    assert (longest(), longest("--per-call", "3")) == (2, 3)


def test_units_are_those_of_the_file_else_kept_else_typed(capsys: pytest.CaptureFixture[str]) -> None:
    def unit(*words: str) -> str:
        assert cli.main(["plan", "hearth-runner", "--json", *words]) == 0
        return str(json.loads(capsys.readouterr().out)["unit"])

    assert unit() == "inch"
    keep("units: metric")
    assert (unit(), unit("--units", "imperial")) == ("cm", "inch")


def test_the_order_of_work_that_is_kept_is_that_of_next_and_of_a_plan(capsys: pytest.CaptureFixture[str]) -> None:
    keep("warping: sideways")
    assert ":1:10: warping: 'sideways' is none of back-to-front, front-to-back" in refused(
        capsys, "next", "first-evening"
    )
    keep("warping: front-to-back")
    assert cli.main(["next", "first-evening", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["warping"] == "front-to-back"
    assert cli.main(["plan", "first-evening", "--json"]) == 0
    times = json.loads(capsys.readouterr().out)["times"]
    assert [time["job"] for time in times] == ["wind", "sley", "heddles", "thread", "check", "tie"]


def test_what_an_evening_needs_can_stay(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["settings", "--json"]) == 0
    names = {row["name"] for row in json.loads(capsys.readouterr().out)}
    assert names > {
        *("weaver", "language", "voice", "speed", "volume", "volume-cap", "night", "ear", "headset", "microphone"),
        *("loudspeaker", "thread-per-call", "pace", "page", "share", "pedal", "stand-up", "units", "paper", "warping"),
    }


def test_every_option_that_stays_has_one_meaning() -> None:
    """An option of the same name stays under the same one, and reads the same."""
    from assistant.cli.settings import known

    for command in families.commands():
        for option in command.arguments().values():
            if option.lasting:
                assert known(families.commands())[option.lasting].settings.get("type") == option.settings.get("type")

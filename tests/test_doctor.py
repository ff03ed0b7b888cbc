"""The doctor looks at every part, says what brings what is missing, and tells nobody's business to nobody."""

import json
import platform
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest
from cable import MISSING, sound_server

from assistant import cli, settings
from assistant.doctor import EXTRAS, Finding, without_what_is_private
from assistant.errors import DeviceMissing
from assistant.senses import portaudio


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def looked(capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, dict[str, object]]]:
    code = cli.main(["doctor", "--json"])
    return code, {each["part"]: each for each in json.loads(capsys.readouterr().out)}


def no_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    def lacking(_: object) -> None:
        raise DeviceMissing(portaudio.NO_SOUND)

    monkeypatch.setattr(portaudio, "load_portaudio", lacking)


def test_a_machine_without_sound_is_told_what_brings_it(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    no_sound(monkeypatch)
    code, found = looked(capsys)
    assert code == 1
    assert "install PortAudio" in str(found["loudspeaker"]["told"])
    assert found["loudspeaker"]["well"] is False
    assert platform.python_version() in str(found["program"]["told"])
    assert f"numpy {version('numpy')}" in str(found["packages"]["told"])


def test_what_can_no_longer_be_read_is_a_finding_and_no_end(capsys: pytest.CaptureFixture[str], home: Path) -> None:
    (home / "HEDDLECALL_DATA").mkdir()
    (home / "HEDDLECALL_DATA" / "journal.sqlite3").write_bytes(b"no journal" * 100)
    settings.path().parent.mkdir(parents=True)
    settings.path().write_text("volume: loud\n")
    (settings.path().parent / "pedal.yaml").write_text("{")
    (settings.path().parent / "keypad.yaml").write_text("source: evdev\ndevice: gone, 1:2\nkeypad: true\n")
    code, found = looked(capsys)
    assert code == 1
    assert ":1:9: volume: 'loud' is no volume" in str(found["settings"]["told"])
    assert "heddlecall pedal" in str(found["pedal"]["told"])
    assert [part for part in ("settings", "pedal", "keypad", "records") if found[part]["well"]] == []


def test_every_extra_is_one_of_the_project() -> None:
    project = tomllib.loads(Path(__file__).parents[1].joinpath("pyproject.toml").read_text(encoding="utf-8"))["project"]
    for extra, package in EXTRAS.items():
        assert any(each.startswith(package) for each in project["optional-dependencies"][extra])


def test_a_report_names_nobody(capsys: pytest.CaptureFixture[str], home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("USER", "annikki")
    weavers = home / "HEDDLECALL_DATA" / "weavers"
    weavers.mkdir(parents=True)
    (weavers / "Aino Kutoja.npz").touch()
    cli.main(["doctor", "--report", "report.txt"])
    shown = capsys.readouterr().out
    report = Path("report.txt").read_text(encoding="utf-8")
    assert report in shown
    for private in ("Aino", "annikki", str(home), platform.node()):
        assert private not in report
    assert "~" in report


def test_what_is_private_goes_the_longest_first() -> None:
    found = [Finding("words", portaudio.NO_SOUND, private=("Ai", "Aino"))]
    assert without_what_is_private("Aino and Ai", found) == "… and …"


@pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)}")
def test_the_devices_that_are_there_are_named(tmp_path: Path) -> None:
    """A real sound server, asked by a process of its own."""
    with sound_server(tmp_path) as env:
        done = subprocess.run(
            [sys.executable, "-m", "assistant", "doctor", "--json"], env=env, capture_output=True, check=False
        )
    found = {each["part"]: each for each in json.loads(done.stdout)}
    assert [found[part]["well"] for part in ("loudspeaker", "microphone")] == [True, True]
    assert "ALSA" in found["loudspeaker"]["told"]

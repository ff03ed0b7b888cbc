"""What the front door knows of this computer: warps that were begun, wherever their files lie, and the settings."""

from pathlib import Path

import pytest

from assistant.cli.front import kept
from assistant.front.front import Front
from assistant.front.known import Gathering, called, usual_language
from assistant.front.leaves import at_first
from assistant.front.values import HALL, Leaf, LeafName
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal, default_path
from assistant.warp import sequence
from assistant.warp.examples import examples

FEW = "{title: Few, shafts: 2, groups: [{name: edge, thread: 5(1 2)}]}"
GATHERING = Gathering(None, kept)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("LC_ALL", "sv_SE.UTF-8")
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    return tmp_path


def begin(file: Path, at: float, job: str = "thread") -> None:
    with Journal(default_path()) as journal:
        record = journal.begin(file, job, sequence.load(file), at)
        for n, kind in enumerate((Kind.SIT_DOWN, Kind.NEXT)):
            journal.keep(record)(Event(kind, at + n))


def keep(home: Path, text: str) -> None:
    file = home / "config" / "heddlecall" / "settings.yaml"
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(text, encoding="utf-8")


def test_who_comes_for_the_first_time_is_asked_in_the_language_of_her_system_and_nothing_is_written(home: Path) -> None:
    known = GATHERING.entering()
    assert at_first(known) == Leaf(LeafName.LANGUAGE, first=True)
    assert (known.code, GATHERING.known(HALL).code) == ("sv", "en")
    assert sorted(each.name for each in home.iterdir()) == ["here"]


def test_the_language_of_a_system_that_is_none_of_ours_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, code in {"C.UTF-8": None, "de_AT@euro": "de", "ko": "ko", "xx_YY": None}.items():
        monkeypatch.setenv("LC_ALL", name)
        assert usual_language() == code


def test_warps_are_named_as_they_are_typed_the_one_worked_on_last_first(home: Path) -> None:
    near, far = home / "here" / "near.yaml", home / "far.yaml"
    for file in (near, far):
        file.write_text(FEW)
    begin(far, 1000.0)
    begin(examples()["first-evening"], 3000.0)
    begin(near, 2000.0)
    warps = GATHERING.known(HALL).warps
    assert [warp.name for warp in warps] == ["first-evening", "near.yaml", str(far)]
    assert [warp.next.commands[0] for warp in warps if warp.next] == [
        f"heddlecall thread {name}" for name in ("first-evening", "near.yaml", far)
    ]
    assert called(str(far)) == str(far)


def test_a_file_that_is_gone_is_told_of_and_its_record_can_be_seen(home: Path) -> None:
    file = home / "here" / "gone.yaml"
    file.write_text(FEW)
    begin(file, 1000.0)
    file.unlink()
    front = Front(None, kept)
    assert front.view().offered[0].about == "gone.yaml is no longer there"
    front.press("1")
    view = front.view()
    assert (view.title, view.told) == ("Few", ("gone.yaml is no longer there",))
    assert [each.line for each in view.offered] == ["heddlecall log gone.yaml"]


@pytest.mark.parametrize("text", ["{shafts: 2", "", "\0", "{shafts: 2, groups: [{thread: 9}]}"])
def test_a_file_that_cannot_be_read_is_told_of_in_a_line(home: Path, text: str) -> None:
    (home / "here" / "odd.yaml").write_text(text)
    front = Front(None, kept)
    for key in ("9", "1", "3", "1"):
        front.press(key)
    view = front.view()
    assert view.title == "odd.yaml"
    assert not view.offered
    assert len(view.told) == 1
    assert view.told[0].startswith("odd.yaml")


def test_settings_are_those_of_the_weaver_and_changed_for_her(home: Path) -> None:
    keep(home, "language: de\nweaver: anna\nvolume: -12\nnight: on\nweavers:\n  anna: {volume: -9}\n")
    known = GATHERING.known(Leaf(LeafName.SOUND))
    assert (known.value("volume"), known.value("night"), known.code) == ("-9", "yes", "de")
    assert known.setting("volume", "-6") == ("settings", "volume", "-6", "--for", "anna")
    assert known.setting("night", "no") == ("settings", "night", "no")
    assert at_first(GATHERING.known(HALL)) == HALL


def test_settings_that_cannot_be_read_are_told_of(home: Path) -> None:
    keep(home, "volume: loud\n")
    view = Front(None, kept).view()
    assert view.title == "Heddlecall: what would you like to do?"
    assert "settings.yaml:1:9: volume: 'loud' is no volume" in view.told[0]

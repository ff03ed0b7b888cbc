"""The pedal that was taught is there the next evening."""

import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import SettingsError
from assistant.senses.pedal import PedalSource
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.settings import Pedal, load_pedal, save_pedal, settings_file

THREE = Pedal(
    PedalSource.EVDEV,
    "/dev/input/by-id/usb-x-event-kbd",
    {"KEY_A": Role.BACK, "KEY_B": Role.REPEAT, "KEY_C": Role.NEXT},
)


def test_no_pedal_was_taught(tmp_path: Path) -> None:
    assert load_pedal(tmp_path / "pedal.yaml") is None


def test_what_is_kept_comes_back_and_nothing_else_is_left(tmp_path: Path) -> None:
    file = tmp_path / "new" / "folder" / "pedal.yaml"
    assert save_pedal(THREE, file) == file
    assert load_pedal(file) == THREE
    assert os.listdir(file.parent) == ["pedal.yaml"]


def test_a_new_pedal_replaces_the_old(tmp_path: Path) -> None:
    file = tmp_path / "pedal.yaml"
    save_pedal(THREE, file)
    one = Pedal(PedalSource.TERMINAL, "", {"pagedown": Role.ONE})
    save_pedal(one, file)
    assert load_pedal(file) == one


def test_it_is_kept_in_the_users_own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert tmp_path in settings_file().parents
    assert settings_file().parts[-2:] == ("heddlecall", "pedal.yaml")


names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1)


@settings(max_examples=40)  # every example is written to disk
@given(
    st.builds(Pedal, st.just(PedalSource.TERMINAL), names, st.dictionaries(names, st.sampled_from(Role), min_size=1))
)
def test_any_keys_round_trip(tmp_path_factory: pytest.TempPathFactory, pedal: Pedal) -> None:
    file = tmp_path_factory.getbasetemp() / "round_trip.yaml"
    save_pedal(pedal, file)
    assert load_pedal(file) == pedal


def tenfold(entry: str) -> bytes:
    """Twelve lines, each of which says the one before ten times."""
    lines = [f"{entry.format(at, f'*n{at - 1}, ' * 10)}\n" for at in range(1, 13)]
    return ("n0: &n0 {a: one}\n" + "".join(lines) + "source: terminal\ndevice: ''\nswitches: *n12\n").encode()


MERGED, REPEATED = tenfold("n{0}: &n{0} {{<<: [{1}]}}"), tenfold("n{0}: &n{0} [{1}]")


@pytest.mark.parametrize(
    "damaged",
    [
        *(b"", b"\xff\xfe\x00", b"{", b"[1, 2]", b"source: evdev", b"just words"),
        *(b"{source: mouse, device: '', switches: {a: one}}", b"{source: terminal, device: '', switches: {}}"),
        *(b"[" * 50_000, b"{a: " * 20_000, b"a: " + b"9" * 5000, b"a: 2001-99-99", b"a: " + b" " * 200_000),
        b'a: "\\U99999999"',
        *(MERGED, REPEATED, b"a: !!python/object/apply:os.getpid []", b"? {a: b}\n: c", b"a: !!binary '%'"),
        *(b"{source: terminal, device: 3, switches: {a: one}}", b"{source: terminal, device: '', switches: {a: [1]}}"),
    ],
)
def test_a_damaged_file_says_what_to_do(tmp_path: Path, damaged: bytes) -> None:
    file = tmp_path / "pedal.yaml"
    file.write_bytes(damaged)
    with pytest.raises(SettingsError, match="heddlecall pedal") as error:
        load_pedal(file)
    assert str(file) in str(error.value)
    assert "\n" not in str(error.value)


def test_an_unknown_role_is_named(tmp_path: Path) -> None:
    file = tmp_path / "pedal.yaml"
    file.write_text("{source: terminal, device: '', switches: {a: forward, b: next}}")
    with pytest.raises(SettingsError, match="no switch can be forward; there are: one, back, repeat, next"):
        load_pedal(file)


def test_where_it_cannot_be_kept_it_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(SettingsError, match="cannot be kept"):
        save_pedal(THREE, tmp_path / "file" / "pedal.yaml")

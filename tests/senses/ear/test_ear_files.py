"""Sound files of any make and any damage: heard, or one clear line.

Resampling is checked against scipy's, which shares no code with soxr.
"""

import json
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis import strategies as st
from said import pause, room, word
from scipy import signal

from assistant import cli
from assistant.errors import SoundFileError
from assistant.senses.ear.hear import read
from assistant.senses.sound import EAR_RATE

pytest.importorskip("hibari")

RATES = (8_000, 11_025, 22_050, 32_000, 44_100, 48_000, 96_000, 192_000)
MAKES: tuple[tuple[str, str], ...] = (
    ("wav", "PCM_16"),
    ("wav", "ULAW"),
    ("flac", "PCM_24"),
    ("ogg", "VORBIS"),
    ("aiff", "PCM_16"),
    ("au", "ALAW"),
)
MAKES += (("mp3", "MPEG_LAYER_III"),) if "MP3" in soundfile.available_formats() else ()
SMALL = np.linspace(-0.5, 0.5, 4000, dtype=np.float32)


def events(capsys: pytest.CaptureFixture[str], file: Path) -> list[str]:
    assert cli.main(["hear", str(file)]) == 0
    return [entry["event"] for entry in json.loads(capsys.readouterr().out)["heard"]]


def written(make: str, subtype: str) -> bytes:
    whole = BytesIO()
    soundfile.write(whole, SMALL, EAR_RATE, format=make.upper(), subtype=subtype)
    return whole.getvalue()


def said() -> np.ndarray:
    return room(pause(1), word("next"), pause(1), word("repeat"), pause(1)).astype(np.float64) / 32768


@pytest.mark.parametrize("rate", RATES)
def test_any_rate(tmp_path: Path, capsys: pytest.CaptureFixture[str], rate: int) -> None:
    sound = signal.resample_poly(said(), rate, EAR_RATE)
    soundfile.write(tmp_path / "words.wav", sound, rate)
    assert cli.main(["hear", str(tmp_path / "words.wav")]) == 0
    told = json.loads(capsys.readouterr().out)
    if rate < EAR_RATE:
        assert "leave out the upper sounds" in told["note"]
        assert {entry["event"] for entry in told["heard"]} <= {"next", "repeat", "unclear"}
    else:
        assert "note" not in told
        assert [entry["event"] for entry in told["heard"]] == ["next", "repeat"]


@pytest.mark.parametrize(("make", "subtype"), MAKES)
def test_any_make(tmp_path: Path, capsys: pytest.CaptureFixture[str], make: str, subtype: str) -> None:
    file = tmp_path / f"words.{make}"
    soundfile.write(file, said(), EAR_RATE, subtype=subtype)
    assert events(capsys, file) == ["next", "repeat"]


@pytest.mark.parametrize("channels", [1, 2, 6])
def test_any_number_of_channels(tmp_path: Path, capsys: pytest.CaptureFixture[str], channels: int) -> None:
    soundfile.write(tmp_path / "words.wav", np.tile(said()[:, None], channels), EAR_RATE)
    assert events(capsys, tmp_path / "words.wav") == ["next", "repeat"]


@pytest.mark.parametrize("rate", [8_000, 44_100, 48_000])
def test_resampled_as_scipy_does(tmp_path: Path, rate: int) -> None:
    """Within 1 % of the loudest sample, up to 3.4 kHz, away from both ends."""
    noise = np.random.default_rng(3).normal(0, 0.1, rate)
    sound = signal.sosfilt(signal.butter(8, 3000, fs=rate, output="sos"), noise)
    soundfile.write(tmp_path / "noise.wav", sound, rate, subtype="FLOAT")
    ours = np.concatenate([*read(tmp_path / "noise.wav")]) / 32767
    theirs = signal.resample(sound, EAR_RATE)
    assert len(ours) == pytest.approx(EAR_RATE, abs=2)
    middle = slice(1000, EAR_RATE - 1000)
    assert ours[middle] == pytest.approx(theirs[middle], abs=0.01 * np.abs(theirs).max())


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf, 1e30])
def test_samples_that_are_no_numbers_are_survived(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], value: float
) -> None:
    sound = said()
    sound[100:200] = value
    soundfile.write(tmp_path / "words.wav", sound, EAR_RATE, subtype="FLOAT")
    assert "repeat" in events(capsys, tmp_path / "words.wav")


@pytest.mark.parametrize("rate", [1, 3_999, 2**31 - 1])
def test_a_rate_that_no_recording_has_is_one_clear_line(tmp_path: Path, rate: int) -> None:
    soundfile.write(tmp_path / "words.wav", SMALL, rate)
    with pytest.raises(SoundFileError, match="samples a second"):
        [*read(tmp_path / "words.wav")]


@settings(max_examples=150)
@given(st.sampled_from(MAKES), st.data())
def test_any_damage_is_heard_or_one_clear_line(
    tmp_path_factory: pytest.TempPathFactory, make: tuple[str, str], data: st.DataObject
) -> None:
    whole = bytearray(written(*make))
    for _ in range(data.draw(st.integers(1, 8))):
        whole[data.draw(st.integers(0, min(len(whole), 200) - 1))] = data.draw(st.integers(0, 255))
    file = tmp_path_factory.getbasetemp() / "damaged"
    file.write_bytes(bytes(whole[: data.draw(st.integers(0, len(whole)))]))
    try:
        for block in read(file):
            assert block.dtype == np.int16
    except SoundFileError as error:
        told = str(error)
        assert told.startswith((f"{file}: cannot be read as sound", f"{file} lasts longer than"))
        assert "\n" not in told


def test_a_library_that_complains_of_a_damaged_file_is_not_heard(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "next-1.wav"
    file.write_bytes(b"\xff\xfb\x90\x64" + bytes(1251) + b"\xff\xfe" + bytes(900))  # an MP3, by its beginning
    with pytest.raises(SoundFileError, match=r"cannot be read as sound \(a damaged MP3 file\)"):
        list(read(file))
    assert capfd.readouterr() == ("", "")


@pytest.mark.skipif("MP3" not in soundfile.available_formats(), reason="this libsndfile reads no MP3")
def test_nor_one_that_complains_while_it_reads(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "next-1.mp3"
    soundfile.write(file, np.sin(np.linspace(0, 2_000, EAR_RATE)) / 2, EAR_RATE)
    file.write_bytes(file.read_bytes()[:-50])
    assert sum(map(len, read(file))) > EAR_RATE / 2
    assert capfd.readouterr() == ("", "")

"""`heddlecall hear` with files of every make."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
import soxr
from said import pause, room, word

from assistant import cli
from assistant.senses.sound import EAR_RATE

pytest.importorskip("hibari")


def heard(capsys: pytest.CaptureFixture[str], *words: str) -> list[dict[str, Any]]:
    assert cli.main(["hear", *words]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"])
@pytest.mark.parametrize("rate", [16_000, 44_100])
def test_any_width_and_rate(tmp_path: Path, capsys: pytest.CaptureFixture[str], subtype: str, rate: int) -> None:
    file = tmp_path / "next.wav"
    near = 0.15 if subtype == "PCM_U8" else 0.1  # eight bits end at -42 dB of full scale, and so does the t
    sound = soxr.resample(room(pause(1), word("next"), pause(0.1)).astype(np.float32) / 32768, EAR_RATE, rate)
    soundfile.write(file, np.stack([sound, 0.5 * sound], axis=1), rate, subtype=subtype)
    (told,) = heard(capsys, str(file))
    assert set(told) == {"file", "heard"}
    assert told["file"] == str(file)
    (entry,) = told["heard"]
    assert set(entry) == {"event", "word", "score", "word_end_s", "decided_s"}
    assert (entry["event"], entry["word"]) == ("next", "next")
    assert entry["word_end_s"] == pytest.approx(1 + len(word("next")) / EAR_RATE, abs=near)
    assert 0.17 < entry["decided_s"] - entry["word_end_s"] < 0.3


def test_several_files_and_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for text in ("seven", "twelve"):
        soundfile.write(tmp_path / f"{text}.flac", room(pause(1), word(text), pause(1)), EAR_RATE)
    lines = heard(capsys, str(tmp_path / "seven.flac"), str(tmp_path / "twelve.flac"), "--numbers", "--json")
    assert [line["heard"][0]["number"] for line in lines] == [7, 12]


def test_a_file_without_sound_or_shorter_than_a_word(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, samples in (("empty.wav", pause(0)), ("short.wav", pause(0.001)), ("silent.wav", pause(3))):
        soundfile.write(tmp_path / name, samples, 8000)
        assert heard(capsys, str(tmp_path / name))[0]["heard"] == []


@pytest.mark.parametrize("content", [b"", b"RIFF", b"RIFF\x00\x00\x00\x00WAVEfmt ", b"\xff" * 2000, b"not sound" * 99])
def test_what_is_no_sound_is_one_clear_line(tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes) -> None:
    file = tmp_path / "broken.wav"
    file.write_bytes(content)
    assert cli.main(["hear", str(file)]) == 2
    told = capsys.readouterr()
    assert told.err.startswith(f"heddlecall: {file}: cannot be read as sound")
    assert told.err.count("\n") == 1


def test_a_file_cut_off_is_heard_as_far_as_it_goes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "cut.wav"
    soundfile.write(file, room(pause(1), word("next"), pause(1), word("repeat"), pause(1)), EAR_RATE)
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2])
    (told,) = heard(capsys, str(file))
    assert [entry["event"] for entry in told["heard"]] == ["next"]

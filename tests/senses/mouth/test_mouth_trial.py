"""Trying a voice."""

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.errors import DeviceMissing
from assistant.outfile import Outfile
from assistant.senses.mouth.loudspeaker import speak
from assistant.senses.mouth.player import MOUTH_RATE
from assistant.senses.sound import WAV


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.folders.platformdirs.user_cache_path", lambda *_, **__: tmp_path / "cache")


def test_a_text_is_written_to_a_file(tmp_path: Path) -> None:
    out = tmp_path / "said.wav"
    speak("en-us", "shaft three", out=Outfile(out, WAV))
    samples, rate = soundfile.read(out)
    assert rate == MOUTH_RATE
    assert 0.4 < len(samples) / rate < 2
    assert np.abs(samples).max() > 0.1


def test_a_voice_without_a_text_plays_a_call(tmp_path: Path) -> None:
    speak("en-us", out=Outfile(tmp_path / "count.wav", WAV), speed=100)
    speak("en-us", out=Outfile(tmp_path / "faster.wav", WAV), speed=300)
    assert soundfile.info(tmp_path / "count.wav").frames > 2 * soundfile.info(tmp_path / "faster.wav").frames


def test_a_device_that_is_not_there_gives_one_clear_line() -> None:
    with pytest.raises(DeviceMissing, match=r"no loudspeaker|PortAudio"):
        speak("en-us", "three", device="no such loudspeaker")

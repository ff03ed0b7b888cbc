"""A Mac's voices, by a stand-in for its command `say` that knows the options used; its listing is from memory."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.senses.mouth.render import MacVoices
from assistant.senses.mouth.voicebox import read_sound

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the stand-in is a script")

LISTED = """\
Alex                en_US    # Most people recognize me by my voice.
Amélie              fr_CA    # Bonjour! Je m’appelle Amélie.
Eddy (English (UK)) en_GB    # Hello! My name is Eddy.
Yuna                ko_KR    # 안녕하세요. 제 이름은 유나입니다.
"""
STAND_IN = f"""#!{sys.executable}
import sys
import numpy, soundfile
match sys.argv[1:]:
    case ["-v", "?"]:
        sys.stdout.buffer.write({LISTED.encode()!r})
    case ["-v", "Alex" | "Eddy (English (UK))", "-r", speed, "-o", file, "-f", "-"]:
        text = sys.stdin.buffer.read().decode()
        sound = numpy.sin(numpy.arange(len(text) * 600_000 // int(speed)) / 10)
        soundfile.write(file, 0.5 * sound, 22050, format="AIFF")
    case _:
        sys.exit("Voice `" + sys.argv[2] + "' not found.")
"""


@pytest.fixture(autouse=True)
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    command = tmp_path / "say"
    command.write_text(STAND_IN, encoding="utf-8")
    command.chmod(command.stat().st_mode | stat.S_IXUSR)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)


def test_the_voices_are_listed_with_their_languages() -> None:
    assert MacVoices().voices() == {
        "engine": "say",
        "default": "Alex",
        "voices": [
            ["Alex", "Alex", "en-us"],
            ["Amélie", "Amélie", "fr-ca"],
            ["Eddy (English (UK))", "Eddy (English (UK))", "en-gb"],
            ["Yuna", "Yuna", "ko-kr"],
        ],
    }


@pytest.mark.parametrize("text", ["1, 2, 3, 4", "-o stripe", "drei Fäden"])
def test_what_is_said_is_written(tmp_path: Path, text: str) -> None:
    file = tmp_path / "phrase.aiff"
    assert MacVoices().render(text, "Eddy (English (UK))", 150, str(file)) == {}
    assert len(read_sound(file)) == pytest.approx(len(text) * 4000, rel=0.01)


def test_a_voice_that_is_not_there_is_an_error(tmp_path: Path) -> None:
    assert MacVoices().render("1", "Nobody", 150, str(tmp_path / "phrase.aiff")) == {
        "error": "Voice `Nobody' not found."
    }


def test_the_stand_in_refuses_other_options() -> None:
    assert subprocess.run(["say", "hello"], capture_output=True, check=False).returncode != 0

"""The real voice engine, and engines that hang or die."""

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.errors import DeviceMissing
from assistant.senses.mouth.clips import clean
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.mouth.voicebox import Voicebox, read_sound
from assistant.senses.mouth.voices import Voice, choose
from assistant.words.language import load

PATIENCE_S = 2.0  # with an engine that hangs; to start one of a few lines takes a tenth of it
VOICES = [
    Voice("gmw/en", "English (Great Britain)", "en-gb"),
    Voice("gmw/en-us", "English (America)", "en-us"),
    Voice("gmw/en-us-nyc", "English (America, New York City)", "en-us-nyc"),
    Voice("inc/kok", "Konkani", "kok"),
    Voice("ko", "Korean", "ko"),
    Voice("roa/pt-br", "Portuguese (Brazil)", "pt-br"),
]


@pytest.fixture(scope="module")
def box() -> Iterator[Voicebox]:
    with Voicebox() as box:
        yield box


def likeness(one: Samples, other: Samples) -> float:
    """How well the spectra of two short sounds agree, at most 1."""
    spectra = np.array([np.log(np.abs(np.fft.rfft(clean(sound), 8192)) + 0.001) for sound in (one, other)])
    return float(np.corrcoef(spectra)[0, 1])


def test_the_voice_of_the_language_speaks(box: Voicebox) -> None:
    voice = choose(box.voices(), load("en").voice)
    said = box.render("one", voice.id, 175)
    assert said.dtype == np.float32
    assert 0.2 < len(said) / MOUTH_RATE < 2
    assert np.abs(said).max() > 0.05


@pytest.mark.skipif(sys.platform != "linux", reason="other systems bring voices of their own")
def test_a_korean_voice_speaks_korean(box: Voicebox) -> None:
    voice = choose(box.voices(), "ko")
    assert voice.name == "Korean"
    english = choose(box.voices(), "en-us")
    korean_3, english_3 = box.render("3", voice.id, 175), box.render("3", english.id, 175)
    assert likeness(korean_3, box.render("삼", voice.id, 175)) > 0.85
    assert likeness(english_3, box.render("three", english.id, 175)) > 0.85
    assert likeness(korean_3, english_3) < 0.6


@pytest.mark.skipif(sys.platform != "linux", reason="only on Linux does the library come with the program")
def test_the_library_that_comes_with_the_program_is_used_and_no_other(box: Voicebox) -> None:
    loaded = {
        line.split()[-1] for line in Path(f"/proc/{box._system.pid}/maps").read_text().splitlines() if "espeak" in line
    }
    assert {Path(library).parent.name for library in loaded} == {"espeakng_loader"}


def test_faster_is_shorter_at_once_and_every_time(box: Voicebox) -> None:
    voice = choose(box.voices(), "en-us")
    slow, fast = zip(
        *[[len(box.render("seven", voice.id, speed)) for speed in (100, 300)] for _ in range(8)], strict=True
    )
    assert min(slow) > 1.5 * max(fast)
    assert max(slow) - min(slow) < 0.02 * MOUTH_RATE
    assert max(fast) - min(fast) < 0.02 * MOUTH_RATE


def test_a_long_phrase_is_said_to_its_end(box: Voicebox) -> None:
    voice = choose(box.voices(), "en-us")
    once, often = box.render("one hundred", voice.id, 175), box.render("one hundred " * 40, voice.id, 175)
    assert len(often) > 20 * len(once)


def test_a_phrase_of_signs_only_is_silence(box: Voicebox) -> None:
    voice = choose(box.voices(), "en-us")
    assert not np.any(np.abs(box.render("( )", voice.id, 175)) > 0.01)


def test_a_voice_that_is_not_there_gives_one_clear_line(box: Voicebox) -> None:
    with pytest.raises(DeviceMissing, match=r"the voice 'nobody' cannot say 'one'.*choose another voice"):
        box.render("one", "nobody", 175)
    assert len(box.render("one", choose(box.voices(), None).id, 175)) > 0


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        (None, "gmw/en"),
        ("gmw/en-us", "gmw/en-us"),
        ("GMW/EN-US", "gmw/en-us"),
        ("korean", "ko"),
        ("English (America)", "gmw/en-us"),
        ("en-us", "gmw/en-us"),
        ("en_US", "gmw/en-us"),
        ("en", "gmw/en"),
        ("ko", "ko"),
        ("ko-kr", "ko"),
        ("pt-pt", "roa/pt-br"),
    ],
)
def test_a_voice_is_chosen_by_id_name_or_language(wanted: str | None, found: str) -> None:
    assert choose(VOICES, wanted).id == found


def test_an_unknown_voice_names_some_that_are_there() -> None:
    with pytest.raises(DeviceMissing, match=r"^no voice 'nobody'; there are 6, among them: English \(Great Britain\)"):
        choose(VOICES, "nobody")


def test_no_voice_at_all_is_said_so() -> None:
    with pytest.raises(DeviceMissing, match="none at all"):
        choose([], None)


def engine(tmp_path: Path, conduct: str) -> list[str]:
    """An engine of a few lines; `runs` counts how often it was started."""
    script = tmp_path / "engine.py"
    script.write_text(
        "import json, pathlib, sys, time, wave\n"
        f"log = pathlib.Path({str(tmp_path / 'runs')!r})\n"
        "log.write_text(log.read_text() + 'x' if log.exists() else 'x')\n"
        "runs = len(log.read_text())\n"
        "for line in sys.stdin:\n"
        "    request = json.loads(line)\n"
        "    if request:\n"
        f"        {conduct}\n"
        "        with wave.open(request['file'], 'wb') as sound:\n"
        "            sound.setparams((1, 2, 22050, 0, 'NONE', ''))\n"
        "            sound.writeframes(bytes(200))\n"
        "    voices = {'engine': 'small', 'default': 'a', 'voices': [['a', 'A', 'en']]}\n"
        "    print(json.dumps({} if request else voices), flush=True)\n"
    )
    return [sys.executable, str(script)]


@pytest.mark.parametrize("conduct", ["if runs == 1: time.sleep(60)", "if runs == 1: sys.exit()"], ids=["hangs", "dies"])
def test_an_engine_that_fails_once_is_started_again_and_asked_again(tmp_path: Path, conduct: str) -> None:
    with Voicebox(engine(tmp_path, conduct), patience_s=PATIENCE_S) as box:
        assert len(box.render("one", "a", 175)) == 100
    assert (tmp_path / "runs").read_text() == "xx"


@pytest.mark.parametrize("conduct", ["time.sleep(60)", "sys.exit('no sound today')"], ids=["hangs", "dies"])
def test_an_engine_that_fails_twice_is_given_up(tmp_path: Path, conduct: str) -> None:
    with (
        Voicebox(engine(tmp_path, conduct), patience_s=PATIENCE_S) as box,
        pytest.raises(DeviceMissing, match=r"the voice engine does not answer.*; install"),
    ):
        box.render("one", "a", 175)
    assert (tmp_path / "runs").read_text() == "xx"


@pytest.fixture
def broken(tmp_path: Path) -> list[str]:
    """An engine that cannot start."""
    script = tmp_path / "broken.py"
    script.write_text("raise RuntimeError('no espeak here')")
    return [sys.executable, str(script)]


def test_an_engine_that_cannot_start_says_why(broken: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.senses.mouth.voicebox.models", lambda: ())
    with pytest.raises(DeviceMissing, match=r"does not answer \(RuntimeError: no espeak here\); install"):
        Voicebox(broken)


def test_no_file_is_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    with Voicebox() as box:
        box.render("one", choose(box.voices(), None).id, 175)
        assert not [file for file in tmp_path.rglob("*") if file.is_file()]
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(("form", "rate"), [("AIFF", 22_050), ("AIFF", 44_100), ("WAV", 16_000), ("WAV", 11_025)])
def test_files_of_other_systems_are_read_at_the_common_rate(tmp_path: Path, form: str, rate: int) -> None:
    file = tmp_path / "phrase"
    both = np.sin(np.arange(rate) * 2 * np.pi * 440 / rate)[:, None] * [0.5, 0.3]
    soundfile.write(file, both, rate, format=form)
    samples = read_sound(file)
    assert len(samples) == pytest.approx(MOUTH_RATE, abs=2)
    assert np.argmax(np.abs(np.fft.rfft(samples, MOUTH_RATE))) == 440
    assert np.abs(samples[500:-500]).max() == pytest.approx(0.4, abs=0.01)

"""Clips: trimmed, levelled, kept on disk and never played damaged."""

import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from assistant.senses.mouth.clips import CLIP_LOUDNESS, MARGIN_S, MOST_PASSING, Shelf, Speech, clean
from assistant.senses.mouth.loudness import PEAK, loudness
from assistant.senses.mouth.player import MOUTH_RATE, Samples
from assistant.senses.mouth.voicebox import Voicebox
from assistant.senses.mouth.voices import Voice
from assistant.words.speech import Part, Say


def hum(seconds: float, level: float) -> Samples:
    return (level * np.sin(np.arange(round(seconds * MOUTH_RATE)) * 2 * np.pi * 150 / MOUTH_RATE)).astype(np.float32)


def test_silence_is_trimmed_at_both_ends_but_for_a_margin() -> None:
    quiet = hum(0.5, 0.001)
    clip = clean(np.concatenate([quiet, hum(0.3, 0.4), quiet]))
    assert len(clip) / MOUTH_RATE == pytest.approx(0.3 + 2 * MARGIN_S, abs=0.002)


def test_a_phrase_that_begins_at_once_gets_the_same_margin() -> None:
    clip = clean(hum(0.3, 0.4))
    assert len(clip) / MOUTH_RATE == pytest.approx(0.3 + 2 * MARGIN_S, abs=0.002)


def test_silence_inside_a_phrase_is_kept() -> None:
    phrase = np.concatenate([hum(0.2, 0.4), np.zeros(MOUTH_RATE // 2, np.float32), hum(0.2, 0.4)])
    assert len(clean(phrase)) / MOUTH_RATE == pytest.approx(0.9 + 2 * MARGIN_S, abs=0.002)


@given(st.floats(0.001, 1.0))
def test_every_clip_is_equally_loud(level: float) -> None:
    assert loudness(clean(hum(0.3, level)), MOUTH_RATE) == pytest.approx(CLIP_LOUDNESS, abs=0.05)


def test_a_sharp_peak_is_turned_down_and_the_rest_is_as_loud_as_ever() -> None:
    phrase = hum(0.3, 0.1)
    phrase[3000] = 1.0
    clip = clean(phrase)
    assert np.abs(clip).max() <= PEAK * 1.001
    assert loudness(clip, MOUTH_RATE) == pytest.approx(CLIP_LOUDNESS, abs=0.1)


def test_what_is_cut_off_fades_so_that_no_click_is_left() -> None:
    """In the midst of a hum that is softer than what is kept."""
    hiss = np.random.default_rng(1).normal(0, 0.001, MOUTH_RATE).astype(np.float32)
    hiss[8000:16000] += hum(8000 / MOUTH_RATE, 0.4)
    clip = clean(hiss)
    assert clip[0] == clip[-1] == 0
    steps = np.abs(np.diff(clip))
    assert max(steps[:100].max(), steps[-100:].max()) < 0.02 * steps.max()


def test_clips_of_another_form_are_rendered_anew(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    shelf.keep("seven", 175, hum(0.2, 0.4))
    monkeypatch.setattr("assistant.senses.mouth.clips.FORM", 1)
    assert shelf.find("seven", 175) is None


@pytest.mark.parametrize("nothing", [np.zeros(0, np.float32), np.zeros(500, np.float32)])
def test_nothing_said_is_an_empty_clip(nothing: Samples) -> None:
    assert len(clean(nothing)) == 0


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "clips", "engine", "voice")


def test_a_clip_comes_back_as_it_was_kept(shelf: Shelf) -> None:
    assert shelf.find("seven", 175) is None
    shelf.keep("seven", 175, hum(0.2, 0.4))
    found = shelf.find("seven", 175)
    assert found is not None
    assert np.abs(found - hum(0.2, 0.4)).max() < 1 / 32_000  # 16 bits


def test_text_speed_voice_and_engine_each_have_clips_of_their_own(shelf: Shelf) -> None:
    files = {
        shelf.file("seven", 175),
        shelf.file("eight", 175),
        shelf.file("seven", 190),
        Shelf(shelf.folder, "engine", "other").file("seven", 175),
        Shelf(shelf.folder, "other", "voice").file("seven", 175),
    }
    assert len(files) == 5


def test_nothing_unfinished_is_left_in_the_folder(shelf: Shelf) -> None:
    shelf.keep("seven", 175, hum(0.2, 0.4))
    assert list(shelf.folder.iterdir()) == [shelf.file("seven", 175)]


@pytest.mark.parametrize("keep", [0.0, 0.1, 0.5, 0.99])
def test_a_clip_cut_short_is_not_found(shelf: Shelf, keep: float) -> None:
    shelf.keep("seven", 175, hum(0.2, 0.4))
    file = shelf.file("seven", 175)
    whole = file.read_bytes()
    file.write_bytes(whole[: int(keep * len(whole))])
    assert shelf.find("seven", 175) is None


def test_a_clip_with_a_single_wrong_bit_is_not_found(shelf: Shelf) -> None:
    shelf.keep("seven", 175, hum(0.2, 0.4))
    file = shelf.file("seven", 175)
    whole = file.read_bytes()
    for place in np.random.default_rng(2).integers(0, len(whole), 100):
        damaged = bytearray(whole)
        damaged[place] ^= 1 << (place % 8)
        file.write_bytes(damaged)
        assert shelf.find("seven", 175) is None


def test_a_folder_that_cannot_be_made_costs_only_the_keeping(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    shelf = Shelf(tmp_path / "file" / "clips", "engine", "voice")
    shelf.keep("seven", 175, hum(0.2, 0.4))
    assert shelf.find("seven", 175) is None


def test_a_clip_of_nothing_is_not_kept(shelf: Shelf) -> None:
    shelf.keep("()", 175, np.zeros(0, np.float32))
    assert shelf.find("()", 175) is None


def test_a_clip_can_be_listened_to_with_any_player(shelf: Shelf) -> None:
    shelf.keep("seven", 175, hum(0.2, 0.4))
    about = soundfile.info(shelf.file("seven", 175))
    assert (about.format, about.subtype, about.channels, about.samplerate) == ("FLAC", "PCM_16", 1, MOUTH_RATE)


def test_what_is_said_once_is_not_held_for_ever_what_is_always_wanted_is(tmp_path: Path) -> None:
    """A sitting of twelve hours held every clip it had ever said: 13 MB more for each hour at the loom."""
    with Voicebox() as box:
        speech = Speech(box, Voice("any", "any", "en"), Shelf(tmp_path, "any", "any"), 160)
    speech.stock(["Even?"])
    speech.learn([Part("4", beat=True)])
    for speed in (150, 160, 170):
        for text in ("Even?", "4"):
            speech.hold(text, speed, hum(0.1, 0.4))
    for number in range(5 * MOST_PASSING):
        speech.hold(f"end {number}", 160, hum(0.1, 0.4))
    assert speech.lacks(["Even?", "4"]) is None
    last = [f"end {number}" for number in range(4 * MOST_PASSING, 5 * MOST_PASSING)]
    assert speech.lacks(last) is None
    assert speech.lacks([f"end {4 * MOST_PASSING - 1}"])
    speech.speed = 150
    assert speech.lacks(["Even?"]) == "Even?"


def test_all_that_is_being_said_is_held_however_much_it_is(tmp_path: Path) -> None:
    """What lets go of a part before the last one is rendered renders for ever and says nothing."""
    with Voicebox() as box:
        speech = Speech(box, Voice("any", "any", "en"), Shelf(tmp_path, "any", "any"), 160)
    parts = [f"end {number}" for number in range(5 * MOST_PASSING)]
    speech.say(parts)
    for text in parts:
        speech.hold(text, 160, hum(0.1, 0.4))
    assert speech.lacks(parts) is None
    speech.say(["Even?"])
    speech.hold("Even?", 160, hum(0.1, 0.4))
    assert speech.lacks([parts[-MOST_PASSING + 1], "Even?"]) is None
    assert speech.lacks(parts[: -MOST_PASSING + 1])


def test_a_clip_is_held_in_two_bytes_a_sample_and_sounds_as_it_was(tmp_path: Path) -> None:
    """Clips are most of what a sitting holds: 62 MB of them at the loom, when a sample took four."""
    with Voicebox() as box:
        speech = Speech(box, Voice("any", "any", "en"), Shelf(tmp_path, "any", "any"), 160)
    clip = hum(10, 0.4)
    tracemalloc.start()
    try:
        speech.hold("Even?", 160, clip)
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert held < 2.1 * len(clip)
    assert np.abs(speech.samples(Say((Part("Even?"),))) - clip).max() < 2**-15

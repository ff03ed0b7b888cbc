"""What the hearing benchmark counts, and the sounds that it makes."""

from pathlib import Path

import numpy as np
import pytest
from parts import conditions, ears, no_words, rooms
from parts.kept import kept
from parts.pupils import Lesson, Pupil
from parts.scoring import Delays, Rate, Results, Said, Score, Share, delays, score, taken, together
from parts.spoken import RATE, WEAVER_DB, at_level, level
from parts.strictness import at_thresholds
from parts.wanted import Heard, Samples

SAID = [Said("next", 1.0, 1.5), Said("back", 4.0, 4.5), Said("redo", 7.0, 7.5), Said("", 10.0, 10.5)]


def heard(label: str, end_s: float, score: float = 1.0) -> Heard:
    return Heard(label, end_s, end_s + 0.25, score)


def test_a_word_is_right_wrong_or_missed() -> None:
    found = [heard("next", 1.52), heard("next", 4.4), heard("next", 6.9), heard("back", 8.0)]
    assert score(found, SAID[:3]) == Score(said=3, right=1, wrong=1)
    assert score(found, SAID[:3]).missed == 1


def test_a_word_for_which_a_right_and_a_wrong_one_were_heard_is_wrong() -> None:
    assert score([heard("next", 1.3), heard("back", 1.6)], SAID[:1]) == Score(1, 0, 1)


def test_strangers_are_taken_whatever_is_heard_for_them() -> None:
    assert taken([heard("next", 10.6), heard("back", 10.7)], SAID[3:]) == Share(of=1, some=1)
    assert taken([heard("next", 9.9)], SAID[3:]) == Share(of=1, some=0)


def test_a_delay_runs_from_the_end_of_a_word_to_the_decision() -> None:
    assert delays([heard("next", 1.6), heard("next", 4.5)], SAID).each == pytest.approx([0.35])


def test_results_are_added_up_row_by_row() -> None:
    each: list[Results] = [
        {("row", "this"): Score(2, 1, 1)},
        {("row", "this"): Score(2, 2, 0), ("row", "before"): Rate(3, 1800.0)},
    ]
    assert {key: str(cell) for key, cell in together(each).items()} == {
        ("row", "this"): "75.0 (25.0)",
        ("row", "before"): "6.0 (3 in 0.50 h)",
    }
    assert str(Delays([0.1, 0.2]) + Delays([0.3])) == "200 / 290"


def test_a_threshold_leaves_what_scores_as_much_and_teaches_and_hears_once() -> None:
    times: list[str] = []

    def hears(sound: Samples, largest: int) -> list[Heard]:
        times.append("heard")
        return [heard("next", 1.5, 0.45), heard("back", 4.5, 0.85)]

    def teach(lesson: Lesson, language: str = "en") -> Pupil:
        times.append("taught")
        return Pupil(hears, 0)

    sound = np.zeros(RATE, np.int16)
    left = {}
    for name, strict in at_thresholds({"this": teach}).items():
        pupil = strict({"next": [sound]})
        assert pupil
        left[name] = [each.label for each in pupil.hears(sound, 0)]
    assert (left["this 0.4"], left["this 0.5"], left["this 0.9"]) == (["next", "back"], ["back"], [])
    assert times == ["taught", "heard"]


def test_what_was_measured_in_a_setting_is_not_measured_anew(tmp_path: Path) -> None:
    measured: list[str] = []

    def work() -> Results:
        measured.append("once")
        return {("row", "this"): Score(2, 1, 1)}

    assert kept(tmp_path, "people george", work) == kept(tmp_path, "people george", work) == work()
    kept(tmp_path, "people lucas", work)
    kept(None, "people george", work)
    assert len(measured) == 4


def test_an_ear_is_heard_with_the_code_of_its_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Wherever the benchmark is run, for the folder in which it is run comes first on Python's path."""
    (tmp_path / "assistant").symlink_to(ears.CHECKOUT / "assistant")
    monkeypatch.chdir(ears.CHECKOUT)
    with ears.opened({"this": tmp_path}) as opened:
        assert opened["this"].spent().resident_mb > 10


def test_a_level_is_set() -> None:
    sound = np.random.default_rng(0).normal(0, 0.3, RATE)
    assert level(at_level(sound, WEAVER_DB)) == pytest.approx(WEAVER_DB)


@pytest.mark.parametrize("kind", no_words.SOUNDS)
def test_a_sound_that_is_none_is_made_anew_each_time(kind: str) -> None:
    one, other = (no_words.SOUNDS[kind](np.random.default_rng(seed)) for seed in (1, 2))
    assert all(np.isfinite(each).all() and 0.02 < len(each) / RATE < 1.3 and each.any() for each in (one, other))
    assert len(one) != len(other) or not np.allclose(one, other)


def test_rooms_echo_as_long_as_asked() -> None:
    """By Schroeder's backward integration, from -5 to -25 dB (ISO 3382-2: T20; from memory)."""
    pytest.importorskip("pyroomacoustics", reason="pip install 'heddlecall[bench]'")
    click = np.zeros(RATE)
    click[0] = 1
    echo = conditions.echoing(click, 0.3, 1.6, 0)
    left = 10 * np.log10(np.cumsum(echo[::-1] ** 2)[::-1] / np.sum(echo**2) + 1e-12)
    assert 3 * (np.argmax(left < -25) - np.argmax(left < -5)) / RATE == pytest.approx(0.3, rel=0.25)
    assert np.abs(echo[: RATE // 500]).max() == np.abs(echo).max()


def test_a_recording_is_lengthened_with_its_own_noise(tmp_path: Path) -> None:
    """And one of two channels, or of which a part is missing, is skipped."""
    import soundfile

    chance = np.random.default_rng(0)
    hum = 0.01 * np.sin(2 * np.pi * 100 * np.arange(2 * RATE) / RATE) + chance.normal(0, 0.001, 2 * RATE)
    hum[RATE : RATE + 8000] += chance.normal(0, 0.1, 8000)
    folder = tmp_path / rooms.TAUGHT
    folder.mkdir()
    soundfile.write(folder / "whole.wav", hum, RATE)
    soundfile.write(folder / "two.wav", np.stack([hum, hum], axis=1), RATE)
    (folder / "cut.wav").write_bytes((folder / "whole.wav").read_bytes()[:20000])
    read = rooms.read(tmp_path)
    assert (len(read.taught), read.strangers, read.skipped) == (1, {}, 2)
    before = read.taught[0][: RATE // 2] / 32768
    assert np.std(before) == pytest.approx(0.01 / np.sqrt(2), rel=0.3)
    spectrum = np.abs(np.fft.rfft(before))
    assert 80 < np.argmax(spectrum) * RATE / len(before) < 120

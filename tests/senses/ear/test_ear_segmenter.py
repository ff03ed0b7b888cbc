"""Words said on their own are found, with their ends; nothing else is."""

import numpy as np
import pytest
from said import Sound, pause, room, word

from assistant.senses.ear.segmenter import Segmenter, Utterance
from assistant.senses.sound import EAR_RATE

pytest.importorskip("hibari")


def found(sound: Sound, block: int = 480) -> list[Utterance]:
    segmenter = Segmenter()
    blocks = (sound[at : at + block] for at in range(0, len(sound), block))
    return [utterance for block in blocks for utterance in segmenter.feed(block)]


@pytest.mark.parametrize("text", ["next", "repeat", "previous", "finished", "two", "volume up"])
def test_a_word_said_on_its_own_is_found_with_its_end(text: str) -> None:
    (utterance,) = found(room(pause(1), word(text), pause(1)))
    assert utterance.start_s == pytest.approx(1.0, abs=0.1)
    assert utterance.end_s == pytest.approx(1.0 + len(word(text)) / EAR_RATE, abs=0.1)
    assert utterance.decided_s - utterance.end_s == pytest.approx(0.25, abs=0.02)


def test_words_after_each_other_are_each_found() -> None:
    sound = room(pause(1), word("next"), pause(0.8), word("repeat"), pause(0.8), word("next"), pause(1))
    assert len(found(sound)) == 3


def test_two_words_run_together_are_not_taken_for_one() -> None:
    sentence = [word(text) for text in ("then", "the", "next", "thing", "previous", "people", "repeat")]
    assert found(room(pause(1), *sentence, pause(1))) == []


def test_a_word_right_after_other_speech_is_not_on_its_own() -> None:
    sentence = [word(text) for text in ("people", "remember", "everything", "yesterday")]
    assert found(room(pause(1), *sentence, pause(0.15), word("next"), pause(1))) == []


def test_a_click_and_silence_are_not_heard() -> None:
    click = np.zeros(EAR_RATE // 50, np.int16)
    click[::7] = 12_000
    assert found(room(pause(1), click, pause(1))) == []
    assert found(pause(5)) == []


def test_how_the_sound_is_cut_into_blocks_makes_no_difference() -> None:
    sound = room(pause(1), word("next"), pause(0.9), word("finished"), pause(1))
    ends = [utterance.end_s for utterance in found(sound)]
    assert len(ends) == 2
    for block in (1, 37, 160, 1000, len(sound)):
        assert [utterance.end_s for utterance in found(sound, block)] == pytest.approx(ends)


def test_what_is_passed_over_is_not_heard_and_time_goes_on() -> None:
    segmenter = Segmenter()
    sound = room(pause(1), word("next"), pause(1))
    segmenter.skip(len(sound))
    (utterance,) = segmenter.feed(sound)
    assert utterance.start_s == pytest.approx(len(sound) / EAR_RATE + 1.0, abs=0.1)

"""Words said on their own are found, with their ends, in quiet, in a room and after other sounds."""

from itertools import pairwise

import numpy as np
import pytest
from said import Sound, pause, room, word

from assistant.senses.ear.features import BANDS
from assistant.senses.ear.utterance import FRAME, FRAME_S, MARGIN, ROW, WORD, Span, Utterance
from assistant.senses.ear.word_finder import SURE, WordFinder, ended, standing_out, voiced
from assistant.senses.sound import EAR_RATE, sixteen_bits

pytest.importorskip("hibari")

SPAN = Span(120, 20)
OTHERS = ("breath", "smack", "click")


def above(*parts: tuple[float, int]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.concatenate([np.full(length, level) for level, length in parts])


def other(kind: str, chance: np.random.Generator) -> Sound:
    """What is no word, and nearly as loud as one, or louder."""
    if kind == "breath":
        swell = np.sin(np.linspace(0, np.pi, round(0.4 * EAR_RATE)))
        return sixteen_bits(chance.normal(0, 0.012, len(swell)) * swell)
    clicks = np.zeros(round((0.1 if kind == "smack" else 0.02) * EAR_RATE))
    for place in (0, len(clicks) - 320) if kind == "smack" else (0,):
        clicks[place : place + 320] += chance.normal(0, 0.3, 320) * np.exp(-np.arange(320) / 40)
    return sixteen_bits(clicks)


def found(sound: Sound, block: int = 480, guessing: bool = False) -> list[Utterance]:
    finder = WordFinder(guessing)
    blocks = (sound[at : at + block] for at in range(0, len(sound), block))
    return [utterance for block in blocks for utterance in finder.feed(block)]


@pytest.mark.parametrize("text", ["next", "repeat", "previous", "finished", "two", "volume up"])
def test_a_word_said_on_its_own_is_found_with_its_end(text: str) -> None:
    (utterance,) = found(room(pause(1), word(text), pause(1)))
    assert utterance.start_s == pytest.approx(1.0, abs=0.1)
    assert utterance.end_s == pytest.approx(1.0 + len(word(text)) / EAR_RATE, abs=0.1)
    assert utterance.decided_s - utterance.end_s == pytest.approx(WORD.quiet_after * FRAME_S, abs=0.01)


def test_words_after_each_other_are_each_found() -> None:
    sound = room(pause(1), word("next"), pause(0.8), word("repeat"), pause(0.8), word("next"), pause(1))
    assert len(found(sound)) == 3


def test_two_words_run_together_are_not_taken_for_one() -> None:
    sentence = [word(text) for text in ("then", "the", "next", "thing", "previous", "people", "repeat")]
    assert found(room(pause(1), *sentence, pause(1))) == []


def test_a_word_right_after_other_speech_is_not_on_its_own() -> None:
    sentence = [word(text) for text in ("people", "remember", "everything", "yesterday")]
    assert found(room(pause(1), *sentence, pause(0.1), word("next"), pause(1))) == []


def test_how_loud_a_voice_was_just_before_is_told_with_a_word() -> None:
    sentence = [word(text) for text in ("people", "remember", "everything", "yesterday")]
    (alone,) = found(room(pause(2), word("next"), pause(1)))
    assert alone.talk == -np.inf
    for fainter, gap, talk in ((1, 0.4, 0.0), (4, 0.4, -12.0), (1, 1.7, -np.inf)):
        said = [each // fainter for each in sentence]
        start_s = 1 + len(np.concatenate(said)) / EAR_RATE + gap
        candidates = found(room(pause(1), *said, pause(gap), word("next"), pause(1)), guessing=True)
        nearest = min(candidates, key=lambda each: abs(each.start_s - start_s))
        assert nearest.talk == pytest.approx(talk, abs=4)


def test_what_was_the_weavers_is_no_talk() -> None:
    finder = WordFinder()
    (first,) = finder.feed(room(pause(1), word("next"), pause(0.4)))
    finder.leave_out(first)
    (second,) = finder.feed(room(pause(0.2), word("next"), pause(0.4)))
    assert (first.talk, second.talk) == (-np.inf, -np.inf)


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
    finder = WordFinder()
    sound = room(pause(1), word("next"), pause(1))
    finder.skip(len(sound))
    (utterance,) = finder.feed(sound)
    assert utterance.start_s == pytest.approx(len(sound) / EAR_RATE + 1.0, abs=0.1)


@pytest.mark.parametrize("kind", OTHERS)
@pytest.mark.parametrize("gap", [0.1, 0.2, 0.4])
def test_a_word_after_what_is_none_is_found_with_its_ends(kind: str, gap: float) -> None:
    before = other(kind, np.random.default_rng(4))
    said = word("finished")
    starts = 1 + len(before) / EAR_RATE + gap
    ends = starts + len(said) / EAR_RATE
    candidates = found(room(pause(1), before, pause(gap), said, pause(1)), guessing=True)
    assert any(abs(each.start_s - starts) < 0.15 and abs(each.end_s - ends) < 0.1 for each in candidates)


@pytest.mark.parametrize("kind", OTHERS)
def test_what_is_no_word_is_never_surely_one(kind: str) -> None:
    for seed in range(5):
        sound = room(pause(1), other(kind, np.random.default_rng(seed)), pause(1))
        assert all(each.guess for each in found(sound, guessing=True))


@pytest.mark.parametrize("text", ["next", "repeat", "finished", "two"])
def test_in_a_room_that_answers_for_half_a_second_one_candidate_ends_with_the_word(text: str) -> None:
    """The echo holds as much energy as the direct sound, and falls by 60 dB in 0.5 s: RT60 as ISO 3382 has it."""
    length = EAR_RATE // 2
    tail = np.random.default_rng(3).normal(size=length) * 10 ** (-3 * np.arange(length) / length)
    said = word(text)
    echo = np.convolve(said / 32768, tail / np.sqrt((tail**2).sum()))
    dry = np.pad(said / 32768, (0, len(echo) - len(said)))
    candidates = found(room(pause(1), sixteen_bits((dry + echo) / 2), pause(1)), guessing=True)
    ends = 1 + len(said) / EAR_RATE
    assert min(abs(each.end_s - ends) + abs(each.start_s - 1) for each in candidates) < 0.15


def test_a_candidate_comes_with_the_sound_on_each_side() -> None:
    sound = room(pause(2), word("finished"), pause(1))
    for each in found(sound, guessing=True):
        first, last = (round(at * 100) * FRAME for at in (each.start_s, each.end_s))
        assert each.bounds == (MARGIN * FRAME, MARGIN * FRAME + last - first)
        assert np.array_equal(each.samples, sound[first - MARGIN * FRAME : last + MARGIN * FRAME])


def test_a_word_said_as_soon_as_the_ear_opens_has_its_bounds() -> None:
    finder = WordFinder()
    list(finder.feed(room(pause(1))))
    finder.skip(EAR_RATE)
    (utterance,) = finder.feed(room(pause(0.08), word("next"), pause(1)))
    first, last = utterance.bounds
    assert first / EAR_RATE == pytest.approx(0.08, abs=0.06)
    assert (last - first) / EAR_RATE == pytest.approx(len(word("next")) / EAR_RATE, abs=0.1)


def test_of_each_word_at_most_one_candidate_is_sure_and_no_two_are_the_same() -> None:
    sound = room(pause(1), word("next"), pause(0.8), word("repeat"), pause(0.8), word("two"), pause(1))
    candidates = found(sound, guessing=True)
    assert sum(not each.guess for each in candidates) == 3
    assert len({(each.start_s, each.end_s) for each in candidates}) == len(candidates)
    ends = [each.decided_s for each in candidates]
    assert all(one <= other for one, other in pairwise(ends))


def test_a_row_with_small_pauses_is_one_utterance() -> None:
    finder = WordFinder(guessing=True)
    finder.span = ROW
    said = [part for text in ("three", "one", "four", "two") for part in (word(text), pause(0.3))]
    (row,) = finder.feed(room(pause(1), *said, pause(1)))
    assert row.start_s == pytest.approx(1, abs=0.1)
    assert row.end_s == pytest.approx(0.7 + sum(map(len, said)) / EAR_RATE, abs=0.1)
    assert not row.guess


@pytest.mark.parametrize("radio", [0, 5, 11])
def test_a_word_has_ended_when_what_goes_on_is_far_below_its_peak(radio: float) -> None:
    assert ended(above((radio, 30), (40, 40), (radio, SPAN.quiet_after)), SURE, SPAN) == [(30, 69)]
    assert ended(above((radio, 30), (40, 40), (radio, SPAN.quiet_after + 1)), SURE, SPAN) == []
    assert ended(above((radio, 30), (40, 40), (radio, SPAN.quiet_after - 1)), SURE, SPAN) == []


def test_a_softer_word_after_a_louder_one_is_found() -> None:
    levels = above((0, 30), (40, 30), (0, 30), (11, 25), (0, SPAN.quiet_after))
    assert ended(levels, SURE, SPAN) == [(90, 114)]


def test_a_word_after_a_click_that_is_louder_is_found_without_it() -> None:
    levels = above((0, 30), (40, 3), (0, 12), (11, 25), (0, SPAN.quiet_after))
    assert ended(levels, SURE, SPAN) == [(45, 69)]


@pytest.mark.parametrize(
    "parts",
    [
        [(25.0, 40)],  # began before all that is known
        [(0.0, 30), (25, 20), (0, 15), (25, 100)],  # right after another
        [(0.0, 30), (25, SPAN.longest + 1)],  # too long
        [(0.0, 30), (25, 5)],  # a click
        [(0.0, 30), (1.5, 40)],  # too faint
        [(0.0, 30)],
    ],
)
def test_what_is_no_word_on_its_own(parts: list[tuple[float, int]]) -> None:
    assert ended(above(*parts, (0, SPAN.quiet_after)), SURE, SPAN) == []


def test_a_word_in_few_bands_stands_out_more_than_a_stir_in_all() -> None:
    quiet = np.full(BANDS, -60.0, np.float32)
    few = np.where(np.arange(BANDS) < 6, 1e-4, 1e-6).astype(np.float32)
    assert standing_out(few, quiet) == pytest.approx(np.sqrt(6 * 20**2 / BANDS), abs=0.01)
    assert standing_out(np.full(BANDS, 1e-6, np.float32), quiet) == pytest.approx(0, abs=0.01)


def test_a_voice_repeats_itself_and_a_hiss_does_not() -> None:
    at = np.arange(EAR_RATE // 4) / EAR_RATE
    voice = np.sum([np.sin(2 * np.pi * 120 * n * at) / n for n in range(1, 12)], axis=0)
    assert voiced(sixteen_bits(0.1 * voice))
    assert not voiced(sixteen_bits(np.random.default_rng(1).normal(0, 0.1, len(at))))
    assert not voiced(sixteen_bits(at[:100]))

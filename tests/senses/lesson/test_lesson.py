"""The lesson without sound: made-up examples, keys and time go in; what is said comes out."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import TaughtError
from assistant.senses.ear.features import BANDS, Example, Frames
from assistant.senses.lesson.lesson import PATIENCE_S, REMINDERS, ROUNDS, Lesson, Sounds
from assistant.senses.lesson.teach import AT_THE_LOOM, words_to_teach
from assistant.session.events import Kind, Sound, Tone
from assistant.words.language import load
from assistant.words.speech import Say

ENGLISH = load("en")
MARGIN, FRAMES = 12, 50
FAINT = 1e-6  # energy of a quiet room in each band


def said(word: str, take: int = 0, noise: float = FAINT) -> Frames:
    """A made-up word: a pattern of its own, a little different each take, in a quiet room."""
    pattern = np.random.default_rng([*word.encode()]).normal(0, 12, (6, BANDS))
    at = np.linspace(0, 5, FRAMES)
    smooth = np.array([np.interp(at, np.arange(6), band) for band in pattern.T]).T
    jitter = np.random.default_rng([take, *word.encode()]).normal(0, 1, smooth.shape)
    loud = 10 ** ((smooth + jitter - 20) / 10)
    return np.asarray(np.pad(loud, ((MARGIN, MARGIN), (0, 0))) + noise, np.float32)


def room(noise: float = FAINT) -> Frames:
    return np.full((150, BANDS), noise, np.float32)


def taught(*words: str) -> list[Example]:
    return [Example(word, said(word, take)) for word in words for take in range(3)]


def begun(*words: str, before: Sequence[Example] = ()) -> Lesson:
    lesson = Lesson(words, ENGLISH, before)
    lesson.begin()
    lesson.room(room())
    return lesson


def say(lesson: Lesson, *words: str) -> Sounds:
    """These one after the other, each a take of its own; what the last leads to."""
    sounds: Sounds = []
    for take, word in enumerate(words):
        sounds = lesson.said(said(word, take))
    return sounds


def told(sounds: Sounds) -> str:
    return " ".join(sound.text for sound in sounds if isinstance(sound, Say))


def kept(lesson: Lesson) -> dict[str, int]:
    examples = lesson.examples()
    return {one.word: sum(other.word == one.word for other in examples) for one in examples}


def test_first_quiet_then_each_word_three_times_with_a_tone_after_each() -> None:
    lesson = Lesson(["next", "back"], ENGLISH)
    assert "a moment of quiet" in told(lesson.begin())
    assert lesson.said(said("next")) == []
    assert told(lesson.room(room())).endswith("Any word in any language will do. To go on: next")
    assert say(lesson, "next", "next") == [Sound(Tone.HEARD)]
    assert lesson.view().examples == 2
    sounds = lesson.said(said("next", 2))
    assert sounds[0] == Sound(Tone.HEARD)
    assert told(sounds) == "To go one step back: previous"
    sounds = say(lesson, "back", "back", "back")
    assert lesson.over
    assert told(sounds) == "I have learnt 2 words."
    assert kept(lesson) == {"next": 3, "back": 3}


def test_any_word_will_do() -> None:
    lesson = begun("next")
    say(lesson, "voilà", "voilà", "voilà")
    assert kept(lesson) == {"next": 3}


def test_an_example_unlike_the_others_is_asked_for_again() -> None:
    lesson = begun("next", "back")
    sounds = say(lesson, "next", "a cough", "next")
    assert sounds[0] == Sound(Tone.UNCLEAR)
    assert told(sounds) == "One did not sound like the others. Once more: next"
    assert lesson.view().examples == 2
    assert told(lesson.said(said("next", 5))) == "To go one step back: previous"
    assert kept(lesson) == {"next": 3}


def test_a_slip_of_the_tongue_is_named() -> None:
    lesson = begun("next", "back", "finished")
    say(lesson, "next", "next", "next")
    assert told(say(lesson, "back", "back", "next")) == "One sounded like your word for next. Once more: previous"
    assert told(lesson.said(said("back", 5))).startswith("When the ends are used up")


def test_a_word_like_another_is_not_taken_and_another_suggested() -> None:
    lesson = begun("next", "back", "finished")
    say(lesson, "next", "next", "next")
    sounds = say(lesson, "next", "next", "next")
    assert told(sounds) == "That sounds like your word for next. Choose another one. To go one step back: go back"
    assert lesson.view().examples == 0
    say(lesson, "back", "back", "back")
    assert lesson.learnt == ["next", "back"]


def test_a_word_that_never_agrees_is_left_out_and_this_is_told() -> None:
    lesson = begun("next", "back", "finished")
    say(lesson, "next", "next", "next")
    noises = iter(range(100))
    for _ in range(ROUNDS):
        while not told(sounds := lesson.said(said(f"noise {next(noises)}"))):
            pass
    assert "This one is left out; the key does it too. When the ends are used up" in told(sounds)
    assert lesson.learnt == ["next"]
    assert {example.word for example in lesson.rivals()} == {"back"}


def test_a_first_word_that_proves_no_good_beside_the_others_is_asked_for_again_at_the_end() -> None:
    """While it is alone there is nothing to tell how much alike its examples should be."""
    lesson = begun("next", "back", "finished")
    say(lesson, "a cough", "a sneeze", "a door")
    say(lesson, "back", "back", "back")
    sounds = say(lesson, "finished", "finished", "finished")
    assert told(sounds) == "One did not sound like the others. To go on: next"
    assert told(say(lesson, "next", "next", "next")) == "I have learnt 3 words."
    assert lesson.learnt == ["next", "back", "finished"]


def test_two_examples_that_agree_will_do_after_some_rounds() -> None:
    lesson = begun("next", "back")
    say(lesson, "next", "next", "a cough")
    for noise in ("a sneeze", "a door"):
        sounds = lesson.said(said(noise))
    assert told(sounds) == "To go one step back: previous"
    assert kept(lesson) == {"next": 2}


def test_keys_leave_out_go_back_repeat_and_leave() -> None:
    lesson = begun("next", "back", "finished")
    assert told(lesson.wish(Kind.REPEAT)) == "To go on: next"
    say(lesson, "next", "next")
    assert told(lesson.wish(Kind.BACK)) == "To go on: next"
    assert lesson.view().examples == 0
    say(lesson, "next", "next", "next")
    assert told(lesson.wish(Kind.BACK)) == "To go on: next"
    assert lesson.learnt == []
    say(lesson, "next", "next", "next")
    assert told(lesson.wish(Kind.NEXT)).startswith("When the ends are used up")
    assert lesson.wish(Kind.PAUSE) == []
    say(lesson, "finished", "finished")
    assert told(lesson.wish(Kind.LEAVE)) == "I have learnt one word."
    assert (lesson.over, lesson.learnt, lesson.missed) == (True, ["next"], ["back", "finished"])
    assert lesson.wish(Kind.LEAVE) == lesson.wish(Kind.NEXT) == say(lesson, "finished") == []


def test_leaving_before_a_word_is_whole_changes_nothing() -> None:
    before = taught("back")
    lesson = begun("next", "back", before=before)
    say(lesson, "next", "next")
    assert told(lesson.wish(Kind.LEAVE)) == "I have learnt nothing, and nothing is changed."
    assert lesson.examples() == before


def test_a_few_words_are_added_to_what_was_taught_before() -> None:
    lesson = begun("next", before=taught("back", "finished"))
    say(lesson, "next", "next", "next")
    assert lesson.over
    assert kept(lesson) == {"back": 3, "finished": 3, "next": 3}


def test_a_word_taught_before_is_replaced_only_once_it_is_whole_again() -> None:
    before = taught("next", "back")
    lesson = begun("next", "back", before=before)
    say(lesson, "weiter", "weiter", "weiter")
    say(lesson, "zurück")
    lesson.wish(Kind.LEAVE)
    examples = lesson.examples()
    assert [one.word for one in examples] == ["next"] * 3 + ["back"] * 3
    assert np.array_equal(examples[0].energies, said("weiter", 0))
    assert examples[3:] == before[3:]


def test_a_new_word_like_one_taught_before_is_not_taken() -> None:
    lesson = begun("next", before=taught("finished"))
    assert "That sounds like your word for finished" in told(say(lesson, "finished", "finished", "finished"))


def test_a_word_may_take_the_sound_that_another_one_gives_up_in_the_same_lesson() -> None:
    lesson = begun("next", "back", before=taught("next", "back"))
    say(lesson, "back", "back", "back")
    assert lesson.learnt == ["next"]


def test_a_loud_room_is_told_once() -> None:
    lesson = Lesson(["next", "back", "finished"], ENGLISH)
    lesson.room(room(1e-2))
    assert told(say(lesson, "next", "next", "next")).startswith("The room is loud")
    assert told(say(lesson, "back", "back", "back")).startswith("When the ends")


def test_a_weaver_from_whom_nothing_is_heard_is_reminded_and_then_waited_for() -> None:
    lesson = begun("next")
    now = 0.0
    reminders = []
    for _ in range(100):
        now += 1
        if sounds := lesson.wait(now, speaking=now < 10):
            reminders.append((now, told(sounds)))
    assert reminders[0] == (9 + PATIENCE_S, "To go on: next")
    assert reminders[1][1] == "I hear nothing. Is the microphone on, and the room quiet? To go on: next"
    assert len(reminders) == REMINDERS
    assert say(lesson, "next", "next", "next")
    assert lesson.over


def test_words_close_to_each_other_are_told_at_the_end() -> None:
    """The second is the first with a little of another word in it."""
    lesson = begun("next", "back")
    say(lesson, "next", "next", "next")
    for take in range(3):
        other = np.asarray(said("next", take + 7) ** 0.83 * said("back", take) ** 0.17, np.float32)
        sounds = lesson.said(other)
    assert told(sounds).startswith("I have learnt 2 words. previous and next sound much alike.")


def test_numbers_are_asked_for_by_name() -> None:
    lesson = begun("3")
    assert lesson.view().asked == "The number: three"


ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("say"), st.sampled_from(["a", "b", "c", "d", "a cough"]), st.integers(0, 9)),
        st.tuples(st.just("key"), st.sampled_from([Kind.NEXT, Kind.BACK, Kind.REPEAT, Kind.LEAVE]), st.just(0)),
    ),
    max_size=25,
)


@given(ACTS)
def test_whatever_happens_what_was_taught_before_stays_or_is_replaced_whole(
    acts: list[tuple[str, str, int]],
) -> None:
    before = taught("next", "pause")
    lesson = begun("next", "back", "finished", before=before)
    for what, which, take in acts:
        sounds = lesson.said(said(which, take)) if what == "say" else lesson.wish(Kind(which))
        assert all(isinstance(sound, Sound) or sound.text for sound in sounds)
    after = kept(lesson)
    assert after["pause"] == 3
    assert all(count >= 2 for count in after.values())
    assert set(after) == {"next", "pause", *lesson.learnt}


def test_which_words_a_lesson_teaches() -> None:
    assert words_to_teach(ENGLISH, None, 0, False) == list(AT_THE_LOOM)
    assert set(words_to_teach(ENGLISH, None, 0, True)) == set(ENGLISH.commands)
    assert words_to_teach(ENGLISH, None, 2, False)[-2:] == ["1", "2"]
    assert words_to_teach(ENGLISH, "next, Back,03,3", 0, False) == ["next", "back", "3"]


@pytest.mark.parametrize(
    ("words", "numbers", "line"),
    [("nxt", 0, "'nxt' stands for no command; there are: next,"), ("100", 0, "'100'"), (" ,", 0, "no word is named")]
    + [(None, n, "numbers from 1 to 99 can be taught") for n in (-1, 100)],
)
def test_a_word_that_cannot_be_taught_is_one_clear_line(words: str | None, numbers: int, line: str) -> None:
    with pytest.raises(TaughtError, match=line):
        words_to_teach(ENGLISH, words, numbers, False)

"""The lesson without sound: made-up examples, keys and time go in; what is said comes out."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import TaughtError
from assistant.senses.ear.clip import FRAMES
from assistant.senses.ear.embedding import BANDS
from assistant.senses.ear.judging import Example
from assistant.senses.lesson.lesson import PATIENCE_S, REMINDERS, ROUNDS, Lesson, Sounds
from assistant.senses.lesson.teach import AT_THE_LOOM, words_to_teach
from assistant.session.events import Kind, Sound, Tone
from assistant.words.language import load
from assistant.words.speech import Say

ENGLISH = load("en")
FAINT = 4.0  # log-mel of a quiet room
NUMBERS = 128  # of a place among words


def said(word: str, take: int = 0, noise: float = FAINT) -> Example:
    """A made-up word: a place of its own, a little different each take, in a quiet room."""
    place = np.random.default_rng([*word.encode()]).normal(size=NUMBERS)
    place += np.random.default_rng([take, *word.encode()]).normal(0, 0.4, NUMBERS)
    clip = np.full((FRAMES, BANDS), noise, np.float32)
    clip[80:130] = 9
    return Example(word, clip, np.asarray(place / np.linalg.norm(place), np.float32))


def near(one: Example, other: Example, part: float) -> Example:
    """A word between two."""
    place = (1 - part) * one.place + part * other.place
    return replace(one, place=place / np.linalg.norm(place))


def heard(lesson: Lesson, example: Example) -> Sounds:
    return lesson.said(example.clip, example.place)


def taught(*words: str) -> list[Example]:
    return [said(word, take) for word in words for take in range(3)]


def test_a_lesson_anew_drops_what_was_believed_of_the_words_taught_anew() -> None:
    believed = [replace(said(word, 9), believed=True) for word in ("next", "back")]
    lesson = begun("next", before=[*taught("next", "back"), *believed])
    say(lesson, "next", "next", "next")
    kept = [(each.word, each.believed) for each in lesson.examples()]
    assert sorted(kept) == [*[("back", False)] * 3, ("back", True), *[("next", False)] * 3]


def begun(*words: str, before: Sequence[Example] = ()) -> Lesson:
    lesson = Lesson(words, ENGLISH, before)
    lesson.begin()
    lesson.quiet()
    return lesson


def say(lesson: Lesson, *words: str) -> Sounds:
    """These one after the other, each a take of its own; what the last leads to."""
    sounds: Sounds = []
    for take, word in enumerate(words):
        sounds = heard(lesson, said(word, take))
    return sounds


def told(sounds: Sounds) -> str:
    return " ".join(sound.text for sound in sounds if isinstance(sound, Say))


def kept(lesson: Lesson) -> dict[str, int]:
    examples = lesson.examples()
    return {one.word: sum(other.word == one.word for other in examples) for one in examples}


def test_first_quiet_then_each_word_three_times_with_a_tone_after_each() -> None:
    lesson = Lesson(["next", "back"], ENGLISH)
    assert "a moment of quiet" in told(lesson.begin())
    assert heard(lesson, said("next")) == []
    assert told(lesson.quiet()).endswith("Any word in any language will do. To go on: next")
    assert say(lesson, "next", "next") == [Sound(Tone.HEARD)]
    assert lesson.view().examples == 2
    sounds = heard(lesson, said("next", 2))
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
    assert told(heard(lesson, said("next", 5))) == "To go one step back: previous"
    assert kept(lesson) == {"next": 3}


def test_a_slip_of_the_tongue_is_named() -> None:
    lesson = begun("next", "back", "finished")
    say(lesson, "next", "next", "next")
    assert told(say(lesson, "back", "back", "next")) == "One sounded like your word for next. Once more: previous"
    assert told(heard(lesson, said("back", 5))).startswith("When the ends are used up")


def test_a_word_like_another_is_told_once_with_a_better_one_and_taken_if_it_is_said_again() -> None:
    lesson = begun("next", "back", "finished")
    say(lesson, "next", "next", "next")
    sounds = say(lesson, "next", "next", "next")
    assert told(sounds) == "That sounds like your word for next. Choose another one. To go one step back: go back"
    assert lesson.view().examples == 0
    say(lesson, "next", "next", "next")
    assert lesson.learnt == ["next", "back"]
    assert told(say(lesson, "finished", "finished", "finished")) == "I have learnt 3 words."


def test_of_a_word_that_never_agrees_what_there_is_will_do() -> None:
    lesson = begun("next", "back", "finished")
    say(lesson, "next", "next", "next")
    noises = iter(range(100))
    for _ in range(ROUNDS):
        while not told(sounds := heard(lesson, said(f"noise {next(noises)}"))):
            pass
    assert told(sounds).startswith("When the ends are used up")
    assert lesson.learnt == ["next", "back"]


def test_two_examples_that_agree_will_do_after_some_rounds() -> None:
    lesson = begun("next", "back")
    say(lesson, "next", "next", "a cough")
    for noise in ("a sneeze", "a door"):
        sounds = heard(lesson, said(noise))
    assert told(sounds) == "To go one step back: previous"
    assert kept(lesson) == {"next": 2}


def test_who_goes_on_early_keeps_what_was_said_of_a_new_word() -> None:
    lesson = begun("next", "back", "finished", before=taught("back"))
    say(lesson, "next")
    assert told(lesson.wish(Kind.NEXT)) == "To go one step back: previous"
    say(lesson, "zurück")
    lesson.wish(Kind.NEXT)
    say(lesson, "finished", "finished")
    assert told(lesson.wish(Kind.LEAVE)) == "I have learnt 2 words."
    assert kept(lesson) == {"next": 1, "back": 3, "finished": 2}
    assert lesson.missed == ["back"]


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
    assert told(lesson.wish(Kind.LEAVE)) == "I have learnt 2 words."
    assert (lesson.over, lesson.learnt, lesson.missed) == (True, ["next", "finished"], ["back"])
    assert lesson.wish(Kind.LEAVE) == lesson.wish(Kind.NEXT) == say(lesson, "finished") == []


def test_leaving_before_a_word_taught_earlier_is_whole_changes_nothing() -> None:
    before = taught("next", "back")
    lesson = begun("next", "back", before=before)
    say(lesson, "weiter", "weiter")
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
    assert np.array_equal(examples[0].place, said("weiter", 0).place)
    assert examples[3:] == before[3:]


def test_a_new_word_like_one_taught_before_is_told() -> None:
    lesson = begun("next", before=taught("finished"))
    assert "That sounds like your word for finished" in told(say(lesson, "finished", "finished", "finished"))


def test_a_word_may_take_the_sound_that_another_one_gives_up_in_the_same_lesson() -> None:
    lesson = begun("next", "back", before=taught("next", "back"))
    say(lesson, "back", "back", "back")
    assert lesson.learnt == ["next"]


def test_a_loud_room_is_told_once() -> None:
    lesson = begun("next", "back", "finished")
    for word, answer in (("next", "The room is loud"), ("back", "When the ends")):
        for take in range(3):
            sounds = heard(lesson, said(word, take, noise=8))
        assert told(sounds).startswith(answer)


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


def test_words_alike_are_told_at_the_end_where_that_was_not_told_before() -> None:
    """One of them has but two examples, which were not compared when they were said."""
    lesson = begun("next", "back")
    say(lesson, "next", "next", "next")
    for take in (7, 8):
        heard(lesson, near(said("next", take), said("back", take), 0.2))
    assert told(lesson.wish(Kind.NEXT)) == (
        "I have learnt 2 words. previous and next sound much alike. If they are mixed up, teach another word for "
        "one of them. For previous, “go back” would be better."
    )


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
        sounds = heard(lesson, said(which, take)) if what == "say" else lesson.wish(Kind(which))
        assert all(isinstance(sound, Sound) or sound.text for sound in sounds)
    after = kept(lesson)
    assert after["pause"] == 3
    assert after["next"] in (1, 2, 3)
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

"""What a weaver taught is heard, in quiet and in noise; nothing else is."""

from pathlib import Path

import numpy as np
import pytest
import soundfile
from weaver import NUMBERS, WORDS, noisy, record, say

from assistant.senses.ear.engine import WordEngine
from assistant.senses.ear.neural_engine import ENOUGH
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.word_finder import WordFinder
from assistant.senses.lesson.teach import teach
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.session.events import Kind
from assistant.words.language import load

pytest.importorskip("hibari")

from said import hear, listen, pause, room, voice, word

HUMAN = Path("/usr/share/pocketsphinx/test/data")  # Debian's package pocketsphinx-testdata
ANEW = 4  # a take that was not taught


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> WordEngine:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HEDDLECALL_DATA", str(tmp_path_factory.mktemp("data")))
        lesson = teach(record(tmp_path_factory.mktemp("said"), WORDS | NUMBERS), "Aino", load("en"))
        assert lesson.faults == ()
        return open_engine(load("en"), weaver="Aino")


@pytest.mark.parametrize("kind", WORDS)
def test_every_word_taught_is_heard_when_said_anew(engine: WordEngine, kind: str) -> None:
    (heard,) = listen(engine, room(pause(1), say(WORDS[kind], ANEW), pause(1)))
    assert heard.kind is Kind(kind)
    assert ENOUGH <= heard.score <= 1
    assert heard.word_end_s == pytest.approx(
        1 + len(say(WORDS[kind], ANEW)) / EAR_RATE, abs=0.2
    )  # a last t may be left out


@pytest.mark.parametrize("snr", [20, 15])
def test_words_are_heard_in_a_noise_that_was_not_there_when_they_were_taught(engine: WordEngine, snr: float) -> None:
    sound = noisy(room(pause(3), *[part for text in WORDS.values() for part in (say(text, ANEW), pause(2))]), snr)
    assert [heard.kind for heard in listen(engine, sound)] == [Kind(kind) for kind in WORDS]


def test_a_weaver_who_answers_fast_goes_on_being_heard(engine: WordEngine) -> None:
    answers = [part for _ in range(20) for part in (say("next", ANEW), pause(0.9))]
    assert [heard.kind for heard in listen(engine, room(pause(1), *answers))] == [Kind.NEXT] * 20


def test_numbers_are_heard_only_where_one_is_asked_for(engine: WordEngine) -> None:
    sound = [part for text in NUMBERS.values() for part in (say(text, ANEW), pause(1))]
    assert all(heard.kind is None for heard in hear(engine, *sound))
    assert [heard.number for heard in hear(engine, *sound, largest=4)] == [1, 2, 3, 4]
    assert [heard.number for heard in hear(engine, *sound, largest=2)][:2] == [1, 2]
    assert {heard.number for heard in hear(engine, *sound, largest=2)} <= {1, 2, None}


def test_a_command_that_may_not_be_said_beside_a_number_is_not_understood(engine: WordEngine) -> None:
    assert [heard.kind for heard in hear(engine, say("next", ANEW), largest=4)] == [None]
    assert [heard.kind for heard in hear(engine, say("repeat", ANEW), largest=4)] == [Kind.REPEAT]


def test_a_row_is_heard_with_small_pauses(engine: WordEngine) -> None:
    row = [part for text in ("three", "one", "four", "two") for part in (say(text, ANEW), pause(0.2))]
    (heard,) = hear(engine, *row, largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.READ, (3, 1, 4, 2))
    (heard,) = hear(engine, say("finished", ANEW), largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.FINISHED, ())


def test_a_row_with_another_word_in_it_is_not_understood(engine: WordEngine) -> None:
    row = [part for text in ("three", "people", "two") for part in (say(text, ANEW), pause(0.2))]
    assert [heard.kind for heard in hear(engine, *row, largest=4, row=True)] == [None]


def test_words_that_were_not_taught_are_not_understood(engine: WordEngine) -> None:
    texts = ("people", "window", "music", "candle", "kitchen", "yellow", "thank you", "seventy")
    heard = hear(engine, *[part for text in texts for part in (word(text), pause(1))])
    assert [each.kind for each in heard] == [None] * len(heard)


def test_with_only_three_words_taught_others_of_the_language_are_heard_and_no_stranger(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Taught are words of no meaning in English, where the language's own stay in use."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    hers = {"next": "tomorrow", "repeat": "candle", "back": "yellow"}
    teach(record(tmp_path / "said", hers), "Aino", load("en"))
    engine = open_engine(load("en"), weaver="Aino")
    assert [heard.kind for text in hers.values() for heard in hear(engine, say(text, ANEW))] == [*map(Kind, hers)]
    assert [heard.kind for heard in hear(engine, say("finished", ANEW))] == [Kind.FINISHED]
    assert [heard.number for heard in hear(engine, say("four", ANEW), largest=9)] == [4]
    texts = ("people", "window", "music", "kitchen", "thank you")
    assert [heard.word for text in texts for heard in hear(engine, word(text)) if heard.kind] == []


def test_talk_is_not_heard(engine: WordEngine) -> None:
    talk = voice().say("The next thing he would repeat was what the previous speaker had finished with, after a pause.")
    assert [heard.kind for heard in hear(engine, talk) if heard.kind] == []


@pytest.mark.skipif(not HUMAN.is_dir(), reason="no human recordings: apt install pocketsphinx-testdata")
def test_people_reading_aloud_are_not_heard(engine: WordEngine) -> None:
    """Source: the LibriVox and playing-card recordings in pocketsphinx-testdata; none holds a command on its own."""
    for file in sorted([*HUMAN.glob("librivox/*.wav"), *HUMAN.glob("cards/*.wav")]):
        sound = soundfile.read(file, dtype="int16")[0]
        assert [heard.word for heard in hear(engine, sound) if heard.kind] == []


def test_silence_noise_and_clipping_are_not_heard(engine: WordEngine) -> None:
    assert hear(engine, pause(5)) == []
    chance = np.random.default_rng(0)
    for level in (300, 3000, 100_000):
        hiss = sixteen_bits(chance.normal(0, level, 5 * EAR_RATE), FULL_SCALE)
        assert [heard.kind for heard in hear(engine, hiss) if heard.kind] == []
    for length in (0, 1, 200, 400):
        assert engine.recognise_row(np.zeros(length, np.int16), 4) is None


def test_how_the_sound_is_cut_into_blocks_makes_no_difference_to_where_words_are_found() -> None:
    sound = noisy(room(pause(2), say("next", 0), pause(1), say("finished", 0), pause(1)), 10)
    found = []
    for block in (37, 160, 1000, len(sound)):
        finder = WordFinder()
        found.append([each.end_s for at in range(0, len(sound), block) for each in finder.feed(sound[at : at + block])])
    assert len(found[0]) == 2
    assert found == [pytest.approx(found[0])] * 4

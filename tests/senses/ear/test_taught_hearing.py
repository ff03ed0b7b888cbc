"""What a weaver taught is heard, in quiet and in noise; nothing else is."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile
from weaver import NUMBERS, WORDS, noisy, record, say

from assistant.senses.ear.features import Example, mel_energies
from assistant.senses.ear.segmenter import FRAME
from assistant.senses.ear.spotter import AROUND, BEFORE, Spotter
from assistant.senses.ear.taught import Taught, judge
from assistant.senses.ear.taught_engine import TaughtEngine
from assistant.senses.lesson.teach import teach
from assistant.senses.sound import EAR_RATE, FULL_SCALE, sixteen_bits
from assistant.session.events import Kind
from assistant.words.language import load
from assistant.words.phrases import Phrases

pytest.importorskip("hibari")

from said import Sound, hear, listen, pause, room, voice, word

HUMAN = Path("/usr/share/pocketsphinx/test/data")  # Debian's package pocketsphinx-testdata
ANEW = 4  # a take that was not taught


@pytest.fixture(scope="module")
def engine(tmp_path_factory: pytest.TempPathFactory) -> TaughtEngine:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HEDDLECALL_DATA", str(tmp_path_factory.mktemp("data")))
        lesson = teach(record(tmp_path_factory.mktemp("said"), WORDS | NUMBERS), "Aino", load("en"))
    assert lesson.faults == ()
    return TaughtEngine(load("en"), lesson.taught)


@pytest.mark.parametrize("kind", WORDS)
def test_every_word_taught_is_heard_when_said_anew(engine: TaughtEngine, kind: str) -> None:
    (heard,) = listen(engine, room(pause(1), say(WORDS[kind], ANEW), pause(1)))
    assert heard.kind is Kind(kind)
    assert 0.5 <= heard.score <= 1
    assert heard.word_end_s == pytest.approx(1 + len(say(WORDS[kind], ANEW)) / EAR_RATE, abs=0.12)


@pytest.mark.parametrize("snr", [20, 15])
def test_words_are_heard_in_a_noise_that_was_not_there_when_they_were_taught(engine: TaughtEngine, snr: float) -> None:
    sound = noisy(room(pause(3), *[part for text in WORDS.values() for part in (say(text, ANEW), pause(2))]), snr)
    assert [heard.kind for heard in listen(engine, sound)] == [Kind(kind) for kind in WORDS]


def test_a_word_is_the_surer_the_more_of_it_stands_out(engine: TaughtEngine, monkeypatch: pytest.MonkeyPatch) -> None:
    quiet = room(pause(3), say("next", ANEW), pause(1))

    def scores() -> list[float]:
        return [heard.score for sound in (quiet, noisy(quiet, 10)) for heard in listen(engine, sound) if heard.kind]

    usual = scores()
    monkeypatch.setattr("assistant.senses.ear.taught_engine.ENOUGH", 0.5)
    in_quiet, in_noise = scores()
    assert in_quiet == usual[0]
    assert in_noise < usual[1]


def test_a_weaver_who_answers_fast_goes_on_being_heard(engine: TaughtEngine) -> None:
    answers = [part for _ in range(20) for part in (say("next", ANEW), pause(0.9))]
    assert [heard.kind for heard in listen(engine, room(pause(1), *answers))] == [Kind.NEXT] * 20


def test_numbers_are_heard_only_where_one_is_asked_for(engine: TaughtEngine) -> None:
    sound = [part for text in NUMBERS.values() for part in (say(text, ANEW), pause(1))]
    assert all(heard.kind is None for heard in hear(engine, *sound))
    assert [heard.number for heard in hear(engine, *sound, largest=4)] == [1, 2, 3, 4]
    assert [heard.number for heard in hear(engine, *sound, largest=2)][:2] == [1, 2]
    assert {heard.number for heard in hear(engine, *sound, largest=2)} <= {1, 2, None}


def test_a_word_that_was_left_out_is_not_taken_for_one_like_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirteen, with but one example that counts, beside fourteen."""
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    numbers = {"14": "fourteen", "15": "fifteen", "3": "three", "8": "eight"}
    folder = record(tmp_path / "said", WORDS | numbers)
    thirteen = next(record(tmp_path / "more", {"13": "thirteen"}).iterdir())
    thirteen.rename(folder / thirteen.name)
    taught = teach(folder, "Aino", load("en")).taught
    assert ({*numbers} <= {*taught.words()}, {each.word for each in taught.rivals}) == (True, {"13"})
    engine, careless = TaughtEngine(load("en"), taught), TaughtEngine(load("en"), replace(taught, rivals=()))
    said = [part for take in range(3, 6) for part in (say("thirteen", take), pause(1))]
    assert 14 in [each.number for each in hear(careless, *said, largest=30)]
    assert {each.number for each in hear(engine, *said, largest=30)} == {None}
    assert [each.number for each in hear(engine, say("fourteen", ANEW), largest=30)] == [14]


@pytest.mark.parametrize(("text", "count"), [("previous", 3), ("next", 0)])
def test_a_word_left_out_because_it_was_the_same_as_another_is_no_rival_of_that(text: str, count: int) -> None:
    def examples(kind: str, text: str, takes: range) -> list[Example]:
        return [Example(kind, mel_energies(room(pause(0.12), say(text, take), pause(0.12)))) for take in takes]

    good = [one for kind in ("next", "finished", "pause") for one in examples(kind, WORDS[kind], range(3))]
    left_out = examples("back", text, range(3, 6))
    assert len(Taught.of("Aino", good, judge(good), left_out).rivals) == count


@pytest.mark.parametrize("noise", [None, 10])
@pytest.mark.parametrize("longer", [("twenty", "one"), ("one", "twenty")], ids=["the end", "the beginning"])
def test_a_part_of_a_longer_number_is_not_taken_for_a_shorter_one(longer: tuple[str, str], noise: float | None) -> None:
    """As where a noise leaves only that to be found."""
    texts = {"1": ("one",), "21": longer, "22": ("twenty", "two"), "3": ("three",)}

    def said(number: str, take: int, seconds: float) -> Sound:
        return room(pause(seconds), *(say(text, take) for text in texts[number]), pause(seconds))

    examples = tuple(Example(each, mel_energies(said(each, take, 0.12))) for each in texts for take in range(3))
    engine = TaughtEngine(load("en"), Taught("Aino", examples))
    heard = {}
    for number in ("1", "21"):
        earlier = sum(len(say(text, ANEW)) for text in texts[number][: texts[number].index("one")])
        start = EAR_RATE + earlier - AROUND * FRAME
        end = EAR_RATE + earlier + len(say("one", ANEW)) + AROUND * FRAME
        sound = said(number, ANEW, 1)
        sound = noisy(sound, noise) if noise else sound
        heard[number] = engine.recognise(sound[start:end], 30, sound[start - BEFORE * FRAME : start])
    assert heard["1"] is not None
    assert heard["1"][0] == "one"
    assert heard["21"] is None or heard["21"][0] == "twenty-one"


def test_a_command_that_may_not_be_said_beside_a_number_is_not_understood(engine: TaughtEngine) -> None:
    assert [heard.kind for heard in hear(engine, say("next", ANEW), largest=4)] == [None]
    assert [heard.kind for heard in hear(engine, say("repeat", ANEW), largest=4)] == [Kind.REPEAT]


def test_a_row_is_heard_with_small_pauses(engine: TaughtEngine) -> None:
    row = [part for text in ("three", "one", "four", "two") for part in (say(text, ANEW), pause(0.2))]
    (heard,) = hear(engine, *row, largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.READ, (3, 1, 4, 2))
    (heard,) = hear(engine, say("finished", ANEW), largest=4, row=True)
    assert (heard.kind, heard.row) == (Kind.FINISHED, ())


def test_a_row_with_another_word_in_it_is_not_understood(engine: TaughtEngine) -> None:
    row = [part for text in ("three", "people", "two") for part in (say(text, ANEW), pause(0.2))]
    assert [heard.kind for heard in hear(engine, *row, largest=4, row=True)] == [None]


def test_words_that_were_not_taught_are_not_understood(engine: TaughtEngine) -> None:
    texts = ("people", "window", "music", "candle", "kitchen", "yellow", "thank you", "seventy")
    heard = hear(engine, *[part for text in texts for part in (word(text), pause(1))])
    assert [each.kind for each in heard] == [None] * len(heard)


def test_with_only_three_words_taught_others_are_not_understood(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "data"))
    few = {kind: WORDS[kind] for kind in ("next", "repeat", "back")}
    few_words = TaughtEngine(load("en"), teach(record(tmp_path / "said", few), "Aino", load("en")).taught)
    assert [heard.kind for text in few.values() for heard in hear(few_words, say(text, ANEW))] == [*map(Kind, few)]
    texts = ("people", "window", "music", "candle", "kitchen", "yellow", "finished", "seventy", "thank you", "tomorrow")
    assert [heard.word for text in texts for heard in hear(few_words, word(text)) if heard.kind] == []


def test_talk_is_not_heard(engine: TaughtEngine) -> None:
    talk = voice().say("The next thing he would repeat was what the previous speaker had finished with, after a pause.")
    assert [heard.kind for heard in hear(engine, talk) if heard.kind] == []


@pytest.mark.skipif(not HUMAN.is_dir(), reason="no human recordings: apt install pocketsphinx-testdata")
def test_people_reading_aloud_are_not_heard(engine: TaughtEngine) -> None:
    """Source: the LibriVox and playing-card recordings in pocketsphinx-testdata; none holds a command on its own."""
    for file in sorted([*HUMAN.glob("librivox/*.wav"), *HUMAN.glob("cards/*.wav")]):
        sound = soundfile.read(file, dtype="int16")[0]
        assert [heard.word for heard in hear(engine, sound) if heard.kind] == []


def test_what_was_not_taught_is_said(engine: TaughtEngine) -> None:
    assert engine.lacks
    told = Phrases.read(load("en"), "phrases").told(engine.lacks)
    assert told.startswith("Aino has not taught: position, short, ")
    assert told.endswith("numbers 5 to 99; use the keys for them")


def test_silence_noise_and_clipping_are_not_heard(engine: TaughtEngine) -> None:
    assert hear(engine, pause(5)) == []
    chance = np.random.default_rng(0)
    for level in (300, 3000, 100_000):
        hiss = sixteen_bits(chance.normal(0, level, 5 * EAR_RATE), FULL_SCALE)
        assert [heard.kind for heard in hear(engine, hiss) if heard.kind] == []
    for length in (0, 1, 200, 400):
        assert engine.recognise(np.zeros(length, np.int16), 0) is None
        assert engine.recognise_row(np.zeros(length, np.int16), 4) is None


def test_how_the_sound_is_cut_into_blocks_makes_no_difference_to_where_words_are_found() -> None:
    sound = noisy(room(pause(2), say("next", 0), pause(1), say("finished", 0), pause(1)), 10)
    found = []
    for block in (37, 160, 1000, len(sound)):
        finder = Spotter()
        found.append([each.end_s for at in range(0, len(sound), block) for each in finder.feed(sound[at : at + block])])
    assert len(found[0]) == 2
    assert found == [pytest.approx(found[0])] * 4

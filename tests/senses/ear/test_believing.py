"""What a weaver was believed, as it is learnt in a sitting and kept beside her lesson."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from weaver import record, say

from assistant import cli
from assistant.errors import TaughtError
from assistant.meaning import Tell
from assistant.senses.ear.believed import MOST, Correction
from assistant.senses.ear.believing import Believer
from assistant.senses.ear.judging import Example
from assistant.senses.ear.neural_engine import NeuralEngine
from assistant.senses.ear.opening import open_engine
from assistant.senses.ear.taught import Taught, forget, keep, kept_in, load_taught
from assistant.senses.ear.utterance import Utterance
from assistant.senses.lesson.teach import teach
from assistant.senses.sound import EAR_RATE
from assistant.words.language import load

pytest.importorskip("hibari")

from said import Sound, alone, pause, word

FEW = {"next": "next", "repeat": "repeat", "finished": "finished"}
ENGLISH = load("en")


@pytest.fixture(scope="module")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HEDDLECALL_DATA", str(tmp_path_factory.mktemp("data")))
        return teach(record(tmp_path_factory.mktemp("few"), FEW), "Aino", ENGLISH).file.read_bytes()


@pytest.fixture(autouse=True)
def taught(lesson: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path))
    kept_in("Aino").parent.mkdir(parents=True)
    kept_in("Aino").write_bytes(lesson)


@pytest.fixture
def engine() -> NeuralEngine:
    engine = open_engine(ENGLISH, weaver="Aino")
    assert isinstance(engine, NeuralEngine)
    return engine


def said(sound: Sound, at: float) -> Utterance:
    """As a finder has it."""
    return replace(alone(sound), start_s=at, end_s=at + len(sound) / EAR_RATE, decided_s=at + 1)


def again(unheard: Sound) -> Correction:
    """It was not understood, and then "next" was."""
    return Correction(said(unheard, 1), said(say("next", 4), 3), "next", 0)


def learn(engine: NeuralEngine, *unheard: Sound) -> list[Tell]:
    told: list[Tell] = []
    assert engine.taught
    believer = Believer(engine, engine.taught, told.append)
    for each in unheard:
        believer.take(again(each))
        believer.learn()
    return told


def believed(engine: NeuralEngine) -> list[str]:
    return [each.word for each in load_taught("Aino", engine.space).examples if each.believed]


def test_a_word_said_again_is_kept_beside_the_lesson_and_no_more_than_a_few(engine: NeuralEngine) -> None:
    before = load_taught("Aino", engine.space)
    assert learn(engine, say("next", 5)) == []
    assert believed(engine) == ["next"]
    learn(engine, *(say("next", take) for take in range(6, 7 + MOST)))
    assert believed(engine) == ["next"] * MOST
    kept = load_taught("Aino", engine.space).lesson()
    assert [each.word for each in kept.examples] == [each.word for each in before.examples]
    assert not kept_in("Aino").with_suffix(".window").exists()


def test_another_word_a_stranger_and_a_noise_are_not_believed(engine: NeuralEngine) -> None:
    cough = np.random.default_rng(2).normal(0, 3000, EAR_RATE // 3) * np.linspace(1, 0, EAR_RATE // 3) ** 3
    others = (say("finished", 5), say("repeat", 5), word("kitchen"), cough.astype(np.int16), pause(0.4))
    before = kept_in("Aino").read_bytes()
    assert learn(engine, *others) == []
    assert kept_in("Aino").read_bytes() == before


def test_what_was_learnt_is_heard_at_once(engine: NeuralEngine) -> None:
    kitchen, taught = said(word("kitchen"), 1), engine.taught
    assert taught
    (before,) = engine.recognise([kitchen], 0)
    sound = engine.weigh(kitchen, 0)
    for _ in range(MOST):
        taught = taught.believing(Example("next", sound.clip, sound.place, believed=True))
    engine.learn(taught)
    (after,) = engine.recognise([kitchen], 0)
    assert after
    assert (before, after[0]) == (None, "next")


def test_of_words_that_were_not_taught_nothing_is_learnt(engine: NeuralEngine) -> None:
    assert engine.taught
    without = Taught("Aino", tuple(each for each in engine.taught.examples if each.word != "next"))
    keep(without, engine.space)
    believer = Believer(engine, without, lambda told: None)
    believer.take(again(say("next", 4)))
    believer.learn()
    assert load_taught("Aino", engine.space).words() == without.words()


def test_a_full_disk_is_told_once_and_what_was_taught_stays(
    engine: NeuralEngine, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = kept_in("Aino").read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    (told,) = learn(engine, say("next", 5), say("next", 6))
    assert "cannot be kept in" in told.phrase
    assert kept_in("Aino").read_bytes() == before


def test_what_was_forgotten_meanwhile_stays_so(engine: NeuralEngine) -> None:
    forget("Aino")
    assert len(learn(engine, say("next", 5))) == 1
    assert not kept_in("Aino").exists()


def test_what_was_taught_meanwhile_in_another_window_stays(engine: NeuralEngine) -> None:
    taught = load_taught("Aino", engine.space)
    fewer = Taught("Aino", tuple(each for each in taught.examples if each.word != "repeat"))
    keep(fewer, engine.space)
    learn(engine, say("next", 5))
    assert load_taught("Aino", engine.space).words() == fewer.words()


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, list[str], str]:
    code = cli.main(["teach", "--weaver", "Aino", *words])
    told = capsys.readouterr()
    return code, told.out.splitlines(), told.err


def test_what_is_kept_is_listed_and_corrections_are_forgotten_alone(
    engine: NeuralEngine, capsys: pytest.CaptureFixture[str]
) -> None:
    learn(engine, say("next", 5), say("next", 6))
    code, lines, _ = run(capsys, "--list")
    assert (code, lines[:3]) == (
        0,
        ["finished: 3 examples", "next: 3 examples, 2 corrections", "repeat: 3 examples"],
    )
    file = kept_in("Aino")
    gone = f"2 corrections are deleted from {file}; what was taught stays"
    assert run(capsys, "--forget-corrections") == (0, [gone], "")
    assert believed(engine) == []
    assert run(capsys, "--list")[1][1] == "next: 3 examples"
    assert run(capsys, "--forget-corrections")[1] == [f"0 corrections are deleted from {file}; what was taught stays"]


@pytest.mark.parametrize("option", ["--list", "--forget-corrections"])
def test_nobody_is_one_clear_line(capsys: pytest.CaptureFixture[str], option: str) -> None:
    forget("Aino")
    code, lines, error = run(capsys, option)
    assert (code, lines, error.count("\n")) == (2, [], 1)
    assert "Aino has taught nothing yet" in error


def test_without_a_lesson_corrections_are_no_file_of_ours(engine: NeuralEngine) -> None:
    learn(engine, say("next", 5))
    taught = load_taught("Aino", engine.space)
    keep(Taught("Aino", tuple(each for each in taught.examples if each.believed)), engine.space)
    with pytest.raises(TaughtError, match="is damaged"):
        load_taught("Aino", engine.space)

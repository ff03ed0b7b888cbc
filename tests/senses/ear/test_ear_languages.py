"""Commands and numbers of every language, untaught and without a model; the voices are espeak-ng's.

Numbers that last longer than a word may are left out: in Finnish most that are made of several.
"""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile
from said import Sound, pause, room

from assistant import cli
from assistant.rehearsal.weaver_voice import SystemVoice
from assistant.senses.ear.engine import MOST_BY_VOICE
from assistant.senses.ear.utterance import FRAME, WORD
from assistant.senses.sound import EAR_RATE
from assistant.session.events import Kind
from assistant.words.language import codes, load

NUMBERS = (3, 8, 12, 27, 40, 64, 99)
COMMANDS = (Kind.NEXT, Kind.REPEAT, Kind.BACK, Kind.FINISHED)
MOST_MISSED = 2  # of these
LONGEST = WORD.longest * FRAME  # samples
FAINT = 300  # of 32,768
SPEAKERS = cache(SystemVoice)


def one_by_one(code: str, words: list[str]) -> Sound:
    return room(*[part for word in words for part in (pause(1), SPEAKERS(code).say(word))], pause(1))


def sounding(said: Sound) -> int:
    """Samples from the first that is no silence to the last."""
    heard = np.flatnonzero(np.abs(said) > FAINT)
    return int(heard[-1] - heard[0])


@pytest.mark.parametrize("code", codes())
def test_numbers_to_99_and_commands_need_no_model(
    code: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("assistant.senses.ear.opening.find_model", lambda code: None)
    language, file = load(code), tmp_path / "said.wav"

    def heard(words: list[str], *options: str) -> list[dict[str, object]]:
        soundfile.write(file, one_by_one(code, words), EAR_RATE)
        assert cli.main(["hear", str(file), "--language", code, "--json", *options]) == 0
        return [each for each in json.loads(capsys.readouterr().out)["heard"] if each["event"] != "unclear"]

    said = [number for number in NUMBERS if sounding(SPEAKERS(code).say(language.numbers[number])) < LONGEST]
    assert len(said) > len(NUMBERS) / 2
    numbers = [each["number"] for each in heard([language.numbers[number] for number in said], "--numbers")]
    assert len(numbers) >= len(said) - MOST_MISSED
    assert [number for number in said if number in numbers] == numbers
    commands = [each["event"] for each in heard([language.commands[kind][0] for kind in COMMANDS])]
    assert len(commands) >= len(COMMANDS) - MOST_MISSED
    assert [kind for kind in COMMANDS if kind in commands] == commands


def test_a_language_file_has_a_word_for_each_number_that_is_listened_for() -> None:
    assert all(len(load(code).numbers) == MOST_BY_VOICE + 1 for code in codes())

"""Commands and numbers of every language, untaught and without a model; the voices are espeak-ng's."""

import json
from pathlib import Path

import pytest
import soundfile
from said import Sound, pause, room

from assistant import cli
from assistant.rehearsal.weaver_voice import SystemVoice
from assistant.senses.ear.engine import MOST_BY_VOICE
from assistant.senses.sound import EAR_RATE
from assistant.session.events import Kind
from assistant.words.language import codes, load

NUMBERS = (3, 8, 12, 27, 40, 64, 99)
COMMANDS = (Kind.NEXT, Kind.REPEAT, Kind.BACK, Kind.FINISHED)
MOST_MISSED = 2  # of these, by a voice as plain as espeak-ng's


def one_by_one(code: str, words: list[str]) -> Sound:
    speaker = SystemVoice(code)
    return room(*[part for word in words for part in (pause(1), speaker.say(word))], pause(1))


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

    numbers = [each["number"] for each in heard([language.numbers[number] for number in NUMBERS], "--numbers")]
    assert len(numbers) >= len(NUMBERS) - MOST_MISSED
    assert [number for number in NUMBERS if number in numbers] == numbers
    commands = [each["event"] for each in heard([language.commands[kind][0] for kind in COMMANDS])]
    assert len(commands) >= len(COMMANDS) - MOST_MISSED
    assert [kind for kind in COMMANDS if kind in commands] == commands


def test_a_language_file_has_a_word_for_each_number_that_is_listened_for() -> None:
    assert all(len(load(code).numbers) == MOST_BY_VOICE + 1 for code in codes())

"""The words of each language: whole, spoken as num2words speaks them, and told apart."""

import re
import string

import pytest
from num2words import num2words

from assistant.errors import LanguageError
from assistant.languages import codes, load
from assistant.session.events import Kind
from assistant.warp.model import MOST_SHAFTS

NOT_SPOKEN = {Kind.SIT_DOWN, Kind.LEAVE, Kind.NUMBER, Kind.UNCLEAR}


@pytest.mark.parametrize("code", codes())
def test_numbers_are_those_of_num2words(code: str) -> None:
    """Source: the library num2words, from PyPI."""
    numbers = load(code).numbers
    assert len(numbers) == 100 > MOST_SHAFTS
    assert [number.replace("-", " ") for number in numbers] == [
        num2words(n, lang=code).replace("-", " ") for n in range(100)
    ]


@pytest.mark.parametrize("code", codes())
def test_every_command_has_a_word_and_no_word_two_meanings(code: str) -> None:
    commands = load(code).commands
    assert set(commands) == {kind.value for kind in Kind} - {kind.value for kind in NOT_SPOKEN}
    words = [word for spoken in commands.values() for word in spoken]
    assert len(words) == len(set(words))
    assert not set(words) & {*load(code).decoys, *load(code).numbers}


@pytest.mark.parametrize("code", codes())
def test_every_phrase_is_there_and_fills_the_same_places(code: str) -> None:
    def places(phrase: str | dict[str, str]) -> set[str]:
        texts = phrase.values() if isinstance(phrase, dict) else [phrase]
        names = {name for text in texts for _, name, _, _ in string.Formatter().parse(text) if name}
        return {name for name in names if not name.startswith("word_")}

    english, phrases = load("en").phrases, load(code).phrases
    assert set(phrases) == set(english)
    assert {name: places(phrase) for name, phrase in phrases.items()} == {
        name: places(phrase) for name, phrase in english.items()
    }


@pytest.mark.parametrize("code", codes())
def test_a_prompt_names_words_that_exist(code: str) -> None:
    language = load(code)
    named = set(re.findall(r"\{word_(\w+)\}", str(language.phrases)))
    assert named <= set(language.commands)


def test_a_language_that_is_not_there_is_one_clear_line() -> None:
    with pytest.raises(LanguageError, match="no language 'xx'; there are: en, ko"):
        load("xx")

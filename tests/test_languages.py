"""The words of each language: whole, spoken as num2words speaks them, and told apart."""

import re
import string
from typing import Any

import pytest
from num2words import num2words

from assistant.errors import LanguageError
from assistant.languages import Phrase, codes, load
from assistant.session.events import Kind
from assistant.session.wording import VERBS, Wording
from assistant.warp.model import MOST_SHAFTS
from assistant.warp.passes import PASSES, Pass
from assistant.warp.sequence import loads

TOLD = """
{shafts: 4, unit: inch, reed: 10, sley: [2, 0, 3], reed_width: 99, yarns: {flax: {}, rust: {}}, groups: [
  {thread: 44(1 2/3), yarn: "2 flax, 1 rust"}, {thread: 33(1), yarn: flax}, {thread: 3(4)}]}
"""
NOT_SPOKEN = {Kind.SIT_DOWN, Kind.LEAVE, Kind.NUMBER, Kind.READ, Kind.UNCLEAR}


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
    def places(phrase: Phrase) -> set[str]:
        texts = phrase.values() if isinstance(phrase, dict) else [phrase]
        names = {name for text in texts for _, name, _, _ in string.Formatter().parse(text) if name}
        return {name for name in names if not name.startswith("word_")} - {"units", *VERBS}

    assert set(load(code).jobs) == set(PASSES)
    for english, phrases in [
        (load("en").phrases, load(code).phrases),
        *((load("en").jobs[job], load(code).jobs[job]) for job in PASSES),
    ]:
        assert set(phrases) == set(english)
        assert {name: places(phrase) for name, phrase in phrases.items()} == {
            name: places(phrase) for name, phrase in english.items()
        }


@pytest.mark.parametrize("code", codes())
@pytest.mark.parametrize("job", PASSES.values(), ids=lambda job: job.name)
def test_everything_a_pass_tells_has_its_words(code: str, job: Pass[Any]) -> None:
    words = Wording(load(code), job)
    for unit in ("inch", "cm"):
        warp = loads(TOLD.replace("inch", unit).encode(), "told.yaml")
        for size in (1, 2, 3):
            for call in job.calls(warp, size):
                assert all(part.text and "{" not in part.text for part in words.call(warp, call))


@pytest.mark.parametrize("code", codes())
def test_a_prompt_names_words_that_exist(code: str) -> None:
    language = load(code)
    named = set(re.findall(r"\{word_(\w+)\}", str(language.phrases)))
    assert named <= set(language.commands)


def test_a_language_that_is_not_there_is_one_clear_line() -> None:
    with pytest.raises(LanguageError, match="no language 'xx'; there are: en, ko"):
        load("xx")

"""The words of a language, one YAML file each: what is listened for, what is said, and what is shown."""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from functools import cache
from inspect import get_annotations
from pathlib import Path
from typing import Any, Self, get_origin

from assistant.errors import LanguageError, refusal
from assistant.meaning import Runs
from assistant.words.numerals import Numerals

MOST_BYTES = 1_000_000
Phrase = str | dict[str, str]  # {one: …, other: …} go by {count}


class UntaughtEar(StrEnum):
    """What hears words that no weaver taught."""

    BUILT_IN = "built-in"
    VOSK = "vosk"  # needs a model of the language


@dataclass(frozen=True, slots=True)
class Language:
    """What is listened for, said and shown in one language."""

    code: str  # ISO 639-1
    name: str
    voice: str  # the voice engine's own name for the language, most general first: "en-us"
    numerals: Numerals  # how numbers are written to be read
    commands: dict[str, list[str]]  # event kind -> the words that stand for it, the first one preferred
    writing_commands: dict[str, list[str]]  # likewise, what is meant only while a threading is written in
    decoys: list[str]  # words a recogniser may hear instead, and that mean nothing
    numbers: list[str]  # the words for 0 to 99
    alike: tuple[tuple[int, int], ...]  # the numbers that are easily taken for one another, the smaller first
    phrases: dict[str, Phrase]  # what is told: by the mouth, and as notices, cautions and advice; with {places}
    jobs: dict[str, dict[str, Phrase]]  # for each pass its words, and what it says otherwise
    labels: dict[str, str]  # what is written for events that are not spoken, or that mean something narrower at times
    states: dict[str, str]  # how a group stands
    screen: dict[str, Phrase]  # what screens show
    paper: dict[str, Phrase]  # what stands on cards and in the report
    printed: dict[str, Phrase]  # what commands print
    front: dict[str, Phrase]  # what stands at the front door
    plan: dict[str, Phrase]  # what a plan says beside
    lesson: dict[str, Phrase]  # what is said and shown while a weaver teaches words
    hearing: dict[str, Phrase]  # what is shown while the ear is tried
    writing: dict[str, Phrase]  # what is typed, said and shown while a threading is written in
    pedal: dict[str, Phrase]  # what is shown while a weaver teaches a pedal
    errors: dict[str, Phrase]  # what is told of a failure, by the English sentence

    @property
    def over_paper(self) -> Self:
        """The language as it is listened to while a threading is written in: what is said then is a command, too."""
        both = (self.commands, self.writing_commands)
        names = dict.fromkeys(name for each in both for name in each)
        commands = {name: [*dict.fromkeys(word for each in both for word in each.get(name, ()))] for name in names}
        return replace(self, commands=commands)

    @property
    def only_over_paper(self) -> frozenset[str]:
        """The words that are no commands here, for they mean something only while a threading is written in."""
        here = {word for words in self.commands.values() for word in words}
        return frozenset(word for words in self.writing_commands.values() for word in words) - here


def _words(entry: object) -> bool:
    return isinstance(entry, list) and bool(entry) and all(isinstance(word, str) for word in entry)


def _section(entry: object) -> bool:
    return isinstance(entry, dict)


def _text(entry: object) -> bool:
    return isinstance(entry, str)


def _numerals(entry: dict[str, Any]) -> bool:
    if {name: type(value) for name, value in entry.items()} != get_annotations(Numerals):
        return False
    try:
        return bool(Numerals(**entry).runs(Runs(((1, 3),))))
    except (LookupError, ValueError):  # of a run that has other places than its first and last
        return False


def _pairs(entry: object) -> bool:
    numbers = isinstance(entry, list) and all(isinstance(pair, list) and len(pair) == 2 for pair in entry)
    return numbers and all(type(number) is int for pair in entry for number in pair)  # type: ignore[attr-defined]


_FOLDER = Path(__file__).with_name("languages")
_MODEL = "en.yaml"
_FORMS: dict[str, Callable[[Any], bool]] = {  # of every entry that the program could not do with in another form
    **{field.name: _section for field in fields(Language) if get_origin(field.type) is dict},
    **{field.name: _text for field in fields(Language) if field.type is str},
    "numerals": lambda entry: _section(entry) and _numerals(entry),
    "commands": lambda entry: _section(entry) and all(map(_words, entry.values())),
    "writing_commands": lambda entry: _section(entry) and all(map(_words, entry.values())),
    "decoys": _words,
    "numbers": lambda entry: _words(entry) and len(entry) == 100,
    "alike": _pairs,
    "jobs": lambda entry: _section(entry) and all(map(_section, entry.values())),
}


def codes() -> list[str]:
    """The languages that come with the program."""
    return sorted(file.stem for file in _FOLDER.glob("*.yaml"))


@cache
def load(code: str) -> Language:
    """A language by its code. Raises LanguageError where there is none, or where its file lacks an entry.

    What is wrong within a section of phrases is no error: Phrases falls back.
    """
    from assistant.entries import read_entries

    if code not in codes():
        raise LanguageError("no language {code!r}; there are: {known}", code=code, known=", ".join(codes()))
    try:
        entries = read_entries(_FOLDER / f"{code}.yaml", MOST_BYTES)
    except OSError as error:
        raise LanguageError("{code}.yaml cannot be read: {why}", code=code, why=refusal(error)) from None
    except ValueError as error:
        raise LanguageError("{code}.yaml cannot be read: {why}", code=code, why=str(error)) from None
    wanted, found = {field.name for field in fields(Language)}, set(entries) if isinstance(entries, dict) else set()
    if wanted != found:
        raise LanguageError(
            "{code}.yaml: missing or unknown entries: {entries}",
            code=code,
            entries=", ".join(sorted(name if name.isprintable() else repr(name) for name in map(str, wanted ^ found))),
        )
    if malformed := [name for name, well_formed in _FORMS.items() if not well_formed(entries[name])]:
        raise LanguageError(
            "{code}.yaml: not as in {model}: {entries}", code=code, model=_MODEL, entries=", ".join(malformed)
        )
    alike = tuple((one, other) for one, other in entries["alike"])
    numerals = Numerals(**entries["numerals"])
    return Language(**{**entries, "alike": alike, "numerals": numerals})

"""What recognises a word, and the words it listens for."""

from collections.abc import Callable, Iterable, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.errors import LanguageError
from assistant.meaning import Tell
from assistant.senses.ear.utterance import Utterance
from assistant.session.events import Kind
from assistant.words.language import Language

MOST_BY_VOICE = 99  # the largest number listened for; larger ones are typed
MOST_IN_ROW = 12  # numbers
# What may be said instead of a number that was asked for.
BESIDE_NUMBERS = (Kind.REPEAT, Kind.BACK, Kind.UNSURE, Kind.HELP)
SPARED = (  # rarely said; keys and the page do as well
    *(Kind.HEDDLE_LEFT, Kind.HEDDLE_MISSING, Kind.PASS_ON, Kind.GO_TO),
    Kind.HELP,
)
TIMES = "times"  # the name of the word that stands behind a number and says that something stands so often
KINDS = frozenset(Kind)


class WordEngine(Protocol):
    """Recognises one word, or one row of numbers, said on its own."""

    language: Language
    keen: bool  # whether what only may be a word is worth a try: only where what is no word is well rejected

    def recognise(self, said: Sequence[Utterance], largest: int) -> Sequence[tuple[str, float] | None]:
        """Of each: the word as the language spells it and how sure (0 to 1); None where it is no word.

        Commands are listened for, or where `largest` is not 0, numbers up to it and the commands BESIDE_NUMBERS.
        """

    def recognise_row(self, samples: NDArray[np.int16], largest: int) -> tuple[list[str], float] | None:
        """The number words of a row, from 1 to `largest`, or one command; and how sure, as `recognise` has it.

        Two numbers that together sound like one are taken for the one: 20, 1 for 21, if that many are listened for.
        Over paper also how often something stands: numbers up to MOST_BY_VOICE after a command, before TIMES, or both.
        """


def meanings(language: Language, largest: int) -> dict[str, tuple[str, int | None]]:
    """What each word listened for stands for: a Kind, or the name of what is meant only over paper."""
    wanted = BESIDE_NUMBERS if largest else language.commands
    commands: dict[str, tuple[str, int | None]] = {
        word: (Kind(name) if name in KINDS else name, None) for name in wanted for word in language.commands[name]
    }
    numbers = language.numbers[: largest + 1] if largest else []
    return commands | {word: (Kind.NUMBER, n) for n, word in enumerate(numbers)}


def name(kind: str | None, number: int | None) -> str:
    """What is taught by this name: a command's kind, or a number in digits; "" for nothing."""
    return str(number) if number is not None else str(kind or "")


def vocabulary(language: Language, largest: int, known: Callable[[str], bool]) -> tuple[dict[str, str], dict[str, str]]:
    """The words that count, and those to tell apart from them as far as a model knows any; both by their spelling.

    Raises LanguageError where the model does not know a word that counts, but for those SPARED and those that are said
    over paper alone, which it then lacks.
    """
    wanted = meanings(language, largest)
    spared = {word for words in language.writing_commands.values() for word in words}
    spared |= {word for word, (kind, _) in wanted.items() if kind in SPARED}
    counting = [word for word in wanted if word not in spared or _spell(word, language, known)]
    apart = [words for words in _others(language, largest) if all(map(known, words.split()))]
    return spellings(language, counting, known), spellings(language, apart, known)


def _others(language: Language, largest: int) -> list[str]:
    if not largest:
        return language.decoys
    return [word for words in language.commands.values() for word in words if " " not in word]


def spellings(language: Language, words: Iterable[str], known: Callable[[str], bool]) -> dict[str, str]:
    """The words by the spelling under which a model knows them: {"twenty one": "twenty-one"}.

    Raises LanguageError naming those it does not know.
    """
    spelled = {word: _spell(word, language, known) for word in words}
    if unknown := [word for word, spelling in spelled.items() if not spelling]:
        raise LanguageError(
            "the model for {language} does not know: {words}; use other words, or another model",
            language=Tell(language.name),
            words=", ".join(unknown),
        )
    return {spelling: word for word, spelling in spelled.items()}


def row_in(heard: str, numbers: dict[str, str]) -> list[str]:
    """The number words in what was heard, by their spellings; [] where anything else is in it, or too many.

    The longest spelling goes first: "twenty one" is twenty-one, not twenty and one.
    """
    row, rest = [], heard.split()
    while rest:
        longest = next((n for n in range(len(rest), 0, -1) if " ".join(rest[:n]) in numbers), 0)
        if not longest:
            return []
        row.append(numbers[" ".join(rest[:longest])])
        rest = rest[longest:]
    return row if len(row) <= MOST_IN_ROW else []


def _spell(word: str, language: Language, known: Callable[[str], bool]) -> str:
    """The word in pieces that are known, or ""; a number word may be made of others, written together."""
    bricks = {number for number in language.numbers if known(number)} if word in language.numbers else set()
    pieces = word.lower().replace("-", " ").split()
    spelled = [piece if known(piece) else _build(piece, bricks) for piece in pieces]
    return " ".join(spelled) if all(spelled) else ""


def _build(word: str, bricks: set[str]) -> str:
    """The word as bricks with spaces between, longest first, or ""."""
    for cut in range(len(word), 0, -1):
        if word[:cut] in bricks:
            rest = _build(word[cut:], bricks)
            if rest or cut == len(word):
                return f"{word[:cut]} {rest}".strip()
    return ""

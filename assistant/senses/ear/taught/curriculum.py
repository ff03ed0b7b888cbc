"""Which words a lesson teaches, in which order."""

from collections.abc import Sequence

from assistant.errors import TaughtError
from assistant.senses.ear.engine import MOST_BY_VOICE
from assistant.senses.ear.taught.teach import stands_for_something
from assistant.session.events import Kind
from assistant.words.language import Language

# Said with both hands full; a place can be marked by key, and volume and speed are set once.
AT_THE_LOOM = (
    *(Kind.NEXT, Kind.REPEAT, Kind.BACK, Kind.DONE, Kind.WHERE, Kind.SHORT, Kind.OVER, Kind.UNEVEN),
    *(Kind.FIND, Kind.UNSURE, Kind.REDO, Kind.SETTLE, Kind.PAUSE, Kind.RESUME),
)


def words_to_teach(language: Language, words: str | None, numbers: int, everything: bool) -> list[str]:
    """Those named, with commas between, or those needed at the loom, or every command; and the numbers up to `numbers`.

    Raises TaughtError for a word that stands for nothing, or more numbers than are listened for.
    """
    if not 0 <= numbers <= MOST_BY_VOICE:
        raise TaughtError(
            f"--numbers {numbers}: numbers from 1 to {MOST_BY_VOICE} can be taught; larger ones are typed"
        )
    wanted = _named(words, language) if words is not None else list(language.commands if everything else AT_THE_LOOM)
    return list(dict.fromkeys([*map(str, wanted), *(str(n) for n in range(1, numbers + 1))]))


def _named(words: str, language: Language) -> Sequence[str]:
    named = [word.strip().lower() for word in words.split(",") if word.strip()]
    unknown = [word for word in named if not stands_for_something(word, language)]
    if unknown or not named:
        what = f"{unknown[0]!r} stands for no command" if unknown else "no word is named"
        raise TaughtError(f"--words: {what}; there are: {', '.join(language.commands)}, 0 to {MOST_BY_VOICE}")
    return [str(int(word)) if word.isdecimal() else word for word in named]

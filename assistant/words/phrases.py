"""The phrases of sections of a language, by their keys: one that is missing or broken falls back, never fails."""

from collections.abc import Mapping

from assistant.meaning import Runs, Tell, filled
from assistant.words.language import Language, Phrase, load
from assistant.words.numerals import AS_SPOKEN, Numerals


class Phrases:
    """Phrases by their keys; where one fails, the English one stands in, and then the key itself.

    The key of an error is its English sentence, with places too.
    Numbers and Runs in places are written with these numerals; without any, digits stand as they are.
    """

    def __init__(
        self, phrases: Mapping[str, Phrase], english: Mapping[str, Phrase], numerals: Numerals = AS_SPOKEN
    ) -> None:
        self._sections = (phrases, english)
        self._numerals = numerals

    @classmethod
    def read(cls, language: Language, *sections: str) -> "Phrases":
        """Phrases to be read, of these sections of the language's file; a key that several have is the first one's."""
        ours, english = (
            {key: phrase for section in reversed(sections) for key, phrase in getattr(each, section).items()}
            for each in (language, load("en"))
        )
        return cls(ours, english, language.numerals)

    def text(self, key: str, /, **places: object) -> str:
        """A phrase with its places filled in, in the form that goes with `count`; never raises.

        A place that holds a Tell is worded first, several things get commas between; a fraction is written to two
        decimals at most.
        """
        worded = {name: self._worded(value) for name, value in places.items()}
        for phrases in self._sections:
            try:
                return _form(phrases[key], places.get("count")).format(**worded)
            except (LookupError, ValueError, TypeError, AttributeError):
                continue
        return filled(key, {**worded, **{name: value for name, value in places.items() if _is_number(value)}})

    def told(self, tell: Tell) -> str:
        """What is told, in words."""
        return self.text(tell.phrase, **tell.places)

    def worded(self, told: Tell | str) -> str:
        """A phrase in words; a text as it is."""
        return self.told(told) if isinstance(told, Tell) else told

    def _worded(self, value: object) -> object:
        match value:
            case Tell():
                return self.told(value)
            case Runs():
                return self._numerals.runs(value)
            case tuple():
                return ", ".join(str(self._worded(each)) for each in value)
            case int() | float():
                return self._numerals.plain(value)
        return value


def _is_number(value: object) -> bool:
    return isinstance(value, int | float)


def _form(phrase: Phrase, count: object) -> str:
    return phrase if isinstance(phrase, str) else phrase["one" if count == 1 else "other"]

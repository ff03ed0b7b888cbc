"""The phrases of a section of a language, by their keys: one that is missing or broken falls back, never fails."""

from collections.abc import Mapping

from assistant.meaning import Tell
from assistant.words.language import Phrase


class Phrases:
    """A section of a language file; where it fails, the same section of English stands in, and then the key itself."""

    def __init__(self, phrases: Mapping[str, Phrase], english: Mapping[str, Phrase]):
        self._sections = (phrases, english)

    def text(self, key: str, **places: object) -> str:
        """A phrase with its places filled in, in the form that goes with `count`; never raises.

        A place that holds a Tell is worded first.
        """
        filled = {name: self.told(value) if isinstance(value, Tell) else value for name, value in places.items()}
        for phrases in self._sections:
            try:
                return _form(phrases[key], filled.get("count")).format(**filled)
            except (LookupError, ValueError, TypeError, AttributeError):
                continue
        return key

    def told(self, tell: Tell) -> str:
        """What is told, in words."""
        return self.text(tell.phrase, **tell.places)


def _form(phrase: Phrase, count: object) -> str:
    return phrase if isinstance(phrase, str) else phrase["one" if count == 1 else "other"]

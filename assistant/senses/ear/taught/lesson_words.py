"""What is said in a lesson, in the weaver's language."""

from assistant.senses.ear.taught.engine import spelling
from assistant.session.events import Part
from assistant.words.language import Language


class LessonWords:
    """The phrases of a lesson. `word` is always a command's kind, or a number in digits."""

    def __init__(self, language: Language) -> None:
        self._language = language

    def say(self, name: str, *words: str, count: int | None = None) -> Part:
        """A phrase, with the language's own names for the words."""
        phrase = self._language.lesson[name]
        text = phrase if isinstance(phrase, str) else phrase["one" if count == 1 else "other"]
        places = dict(zip(("word", "other"), (spelling(word, self._language) for word in words), strict=False))
        return Part(text.format(count=count, **places))

    def means(self, word: str) -> Part:
        """What it is for."""
        return self.say("number" if word.isdecimal() else f"means {word}")

    def suggestions(self, word: str) -> list[str]:
        """What may be said for it, the best first."""
        return [self._language.numbers[int(word)]] if word.isdecimal() else self._language.commands[word]

"""What is typed -> moves: key by key, on a keyboard or a numeric keypad, or a line at a time."""

from collections.abc import Mapping

from assistant.words.keypad import PAD, SHIFT
from assistant.words.language import Language, load
from assistant.writing.moves import BY_VOICE, ON_KEYPAD, Move, MoveKind

MAIN = {"asterisk": "*", "minus": "-", "plus": "+", "slash": "/", "full_stop": "."}  # signs of a keyboard, by name
UNLOCKED = {key.unlocked: key.name for key in PAD if key.unlocked} | {",": ","}
LONGEST = 10_000  # characters of a row


def commands(language: Language) -> Mapping[str, MoveKind]:
    """Words that are typed, each alone or before what goes with it: those of the language, and the English ones.

    What is said only here can be typed, too.
    """
    languages = (load("en"), language)
    said = {
        word: BY_VOICE[name]
        for each in languages
        for name, words in each.writing_commands.items()
        if name in BY_VOICE
        for word in words
    }
    return said | {
        word: MoveKind(name.removeprefix("word "))
        for each in languages
        for name, words in each.writing.items()
        if name.startswith("word ")
        for word in str(words).split(", ")
    }


class Typing:
    """Takes keys and lines; `text` is what stands typed and is not yet entered."""

    def __init__(self, words: Mapping[str, MoveKind]) -> None:
        self._words = words
        self.text = ""
        self._shifts = ""

    @property
    def shown(self) -> str:
        """What stands typed, with keys that wait for another one."""
        return self.text + self._shifts

    def press(self, key: str, naming: bool = False) -> list[Move]:
        """A key, by its character or, where it has none or lies on a keypad, by its name; `naming`: a name is asked."""
        key, on_keyboard = MAIN.get(key, UNLOCKED.get(key, key)), key in MAIN
        if key in ("ctrl+c", "escape"):
            return self._cleared(key)
        if shifts := self._shifts:
            self._shifts = ""
            if key == SHIFT and shifts == SHIFT:
                self._shifts = 2 * SHIFT
                return []
            return [Move(ON_KEYPAD.get(shifts + key, MoveKind.HELP))]
        words = naming or any(letter.isalpha() for letter in self.text)
        if key == "enter":
            return self.line(self._taken(), naming)
        if key == "backspace" or (key == "*" and not (on_keyboard and self.text)):
            return self._wiped() if self.text else [Move(MoveKind.BACK)]
        if key == SHIFT and not (words or self.text[-1:].isdecimal()):
            self._shifts = SHIFT
        elif key in ("+", "-") and not words and not (on_keyboard and key == "-" and self.text):
            return [*(self.line(self._taken(), naming) if self.text else []), Move(ON_KEYPAD[key])]
        elif key in (".", "=") and not self.text:
            return [Move(MoveKind.HELP)]
        elif key == "space":
            self.text += " " if self.text else ""
        elif len(key) == 1 and key.isprintable() and len(self.text) < LONGEST:
            self.text += key
        return []

    def line(self, text: str, naming: bool = False) -> list[Move]:
        """A line, all of it: keys of a keypad, a word with what goes with it, or a row."""
        text = text.strip()
        if not text or text in ON_KEYPAD:
            return [Move(ON_KEYPAD.get(text, MoveKind.NEXT))]
        if text[0] in "+-" and text[1:].replace(".", "").replace(" ", "").isdecimal():
            return [Move(ON_KEYPAD[text[0]], text[1:])]
        for kind, rest in () if naming else self._commands(text):
            return [Move(kind, rest)]
        return [Move(MoveKind.ENTER, text)]

    def _commands(self, text: str) -> list[tuple[MoveKind, str]]:
        """The longest of our words that the line begins with, and what stands behind it."""
        found = [
            (len(word), kind, text[len(word) :].strip())
            for word, kind in self._words.items()
            if text[: len(word)].casefold() == word.casefold() and not text[len(word) : len(word) + 1].strip()
        ]
        return [(kind, rest) for _, kind, rest in sorted(found, reverse=True)]

    def _taken(self) -> str:
        text, self.text = self.text, ""
        return text

    def _wiped(self) -> list[Move]:
        self.text = self.text[:-1]
        return []

    def _cleared(self, key: str) -> list[Move]:
        self.text = self._shifts = ""
        return [Move(MoveKind.LEAVE)] if key == "ctrl+c" else []

"""The card to lay beside a numeric keypad: its keys as they lie, with what each means."""

from dataclasses import dataclass

from assistant.paper.sizes import A4, Paper
from assistant.paper.writing import MARK, layouts
from assistant.words.glossary import Glossary
from assistant.words.keypad import MEANINGS, PAD, POINTS, SHIFT, PadKey
from assistant.words.language import Language
from assistant.words.phrases import Phrases

COLUMNS = 4  # those beyond are keys that only some keypads have


@dataclass(frozen=True, slots=True)
class KeyCap:
    """A key as it is drawn: what is written on it, and what it means by itself, after SHIFT, and after SHIFT twice."""

    key: PadKey
    written: str
    meanings: tuple[str, str, str]


def card(language: Language, paper: Paper = A4) -> str:
    """One HTML document, on a page."""
    say = Phrases.read(language, "paper", "phrases").text
    labels = Glossary(language)

    def label(keys: str) -> str:
        return labels.label(MEANINGS[keys]) if keys in MEANINGS else ""

    def written(key: PadKey) -> str:
        return key.name if len(key.name) == 1 else say(f"key {key.name}") if key.name in MEANINGS else "Num"

    keys = [
        KeyCap(key, written(key), (label(key.name), label(SHIFT + key.name), label(2 * SHIFT + key.name)))
        for key in PAD
        if key.column < COLUMNS
    ]
    told = [
        *(say(f"keypad {when}", shift=SHIFT) for when in ("alone", "once", "twice", "numbers", "elsewhere")),
        say("keypad more", point=POINTS[0]),
    ]
    return layouts().get_template("keypad.html").render(
        lang=language.code, mark=MARK, paper=paper, title=say("keypad title"), keys=keys, told=told,
        columns=COLUMNS, rows=max(drawn.key.row for drawn in keys) + 1, shift=SHIFT,
    )  # fmt: skip

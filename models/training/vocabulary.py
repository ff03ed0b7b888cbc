"""What the voices say: the words that are listened for, in each language, and many that are not."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from assistant.words import language
from assistant.words.language import Language

MOST_OTHERS = 700  # of a language
LONGEST = 13  # letters
INVENTED = 1500
SPOKEN_AS = ("en", "de", "es", "sv")  # the languages by whose rules invented words are read
SENTENCE_FROM, SENTENCE_TO = 4, 12  # words
STARTS = [*"bdfghjklmnprstvwz", "sh", "ch", "st", "tr", "pl", "sp", "fl", "gr"]
MIDDLES = [*"aeiou", "ai", "oo", "ee", "ou"]
ENDS = ["", "", *"nstlrkm", "st", "nd"]


@dataclass(frozen=True, slots=True)
class Word:
    """A word or two in a language."""

    code: str  # of the language
    text: str
    wanted: bool  # whether it is listened for


def wanted(code: str) -> list[str]:
    """The words to be learnt of a language, as its file spells them: numbers from 0, commands, those over paper."""
    spoken = language.load(code)
    commands = (spoken.commands, spoken.writing_commands)
    return list(
        dict.fromkeys([*spoken.numbers, *(word for each in commands for words in each.values() for word in words)])
    )


def vocabulary() -> list[Word]:
    """All words, each once in a language."""
    known = [
        Word(code, text, text in kept)
        for code in language.codes()
        if (kept := wanted(code))
        for text in [*kept, *others(code, kept)]
    ]
    made = [Word(SPOKEN_AS[place % len(SPOKEN_AS)], text, False) for place, text in enumerate(invented())]
    return list({(word.code, word.text): word for word in [*made, *known]}.values())


def others(code: str, kept: list[str]) -> list[str]:
    """Words that mean nothing to the ear: those to tell apart, and what the program itself says and shows."""
    spoken = language.load(code)
    parts = {part for word in kept for part in word.split()}
    plain = re.sub(r"\{[^}]*\}", " ", " ".join(_texts(spoken)))
    found = {word.lower() for word in re.findall(r"[^\W\d_]{3,}", plain) if len(word) <= LONGEST}
    left = sorted((found | set(spoken.decoys)) - parts - set(kept))
    return [str(word) for word in np.random.default_rng(1).permutation(left)[:MOST_OTHERS]]


def sentences(code: str, count: int) -> list[str]:
    """What is said to somebody else: what the program itself says and shows, and words in no order."""
    chance = np.random.default_rng(7)
    plain = re.sub(r"\{[^}]*\}", " ", ". ".join(_texts(language.load(code))))
    known = sorted({" ".join(each.split()) for each in re.split(r"[.;:!?()\n]+", plain)})
    known = [each for each in known if SENTENCE_FROM <= len(each.split()) <= SENTENCE_TO]
    words = others(code, wanted(code))
    mixed = (chance.choice(words, chance.integers(SENTENCE_FROM, SENTENCE_TO)) for _ in range(count))
    each = zip(chance.permutation(known), (" ".join(one) for one in mixed), strict=False)
    return [str(sentence) for pair in each for sentence in pair][:count]


def invented() -> list[str]:
    """Words of one to three syllables that no language has, or only by chance."""
    chance = np.random.default_rng(5)
    words: set[str] = set()
    while len(words) < INVENTED:
        syllables = range(chance.integers(1, 4))
        words.add("".join(str(chance.choice(each)) for _ in syllables for each in (STARTS, MIDDLES, ENDS)))
    return sorted(words)


def _texts(spoken: Language) -> Iterator[str]:
    heard = {"commands", "writing_commands", "numbers"}
    sections = (getattr(spoken, field.name) for field in fields(spoken) if field.name not in heard)
    for section in sections:
        if isinstance(section, dict):
            yield from _leaves(section)


def _leaves(entry: Any) -> Iterator[str]:
    if isinstance(entry, str):
        yield entry
    elif isinstance(entry, dict):
        for each in entry.values():
            yield from _leaves(each)

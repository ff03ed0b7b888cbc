"""The glossary: every event with its spoken words, its label and its keys. What shows one of them reads it here."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from assistant.session.events import Kind
from assistant.words.keypad import GO_ON, keys_for
from assistant.words.language import Language

_OF_KEYBOARDS: Mapping[Kind, tuple[str, ...]] = {  # the keys of a keyboard that mean an event, the one to show first
    Kind.NEXT: ("space", "n"),
    Kind.REPEAT: ("r",),
    Kind.BACK: ("b",),
    Kind.FINISHED: ("d",),
    Kind.UNEVEN: ("u",),
    Kind.SHORT: ("s",),
    Kind.OVER: ("o",),
    Kind.NUMBER: ("0-9",),
    Kind.REDO: ("a",),
    Kind.FIND: ("f",),
    Kind.UNSURE: ("?",),
    Kind.SETTLE: ("t",),
    Kind.HEDDLE_LEFT: ("h",),
    Kind.HEDDLE_MISSING: ("k",),
    Kind.PASS_ON: ("c",),
    Kind.GO_TO: ("j",),
    Kind.PAUSE: ("p",),
    Kind.RESUME: ("g",),
    Kind.WHERE: ("w",),
    Kind.HELP: (),
    Kind.NOTE: ("m",),
    Kind.LOUDER: (")",),
    Kind.QUIETER: ("(",),
    Kind.FASTER: (">",),
    Kind.SLOWER: ("<",),
    Kind.LEAVE: ("q", "ctrl+c"),
    Kind.SIT_DOWN: (),
    Kind.READ: (),
    Kind.UNCLEAR: (),
    Kind.THREADED_BEFORE: (),
    Kind.HEDDLES_COUNTED: (),
    Kind.CLOCK_SET: (),
    Kind.SLEPT: (),
    Kind.EDITED: (),
}
KEYS: Mapping[Kind, tuple[str, ...]] = {  # every event, with all keys that mean it; those of a keypad may be several
    kind: (*keys, *(pressed for pressed in keys_for(kind) if pressed != GO_ON)) for kind, keys in _OF_KEYBOARDS.items()
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One event in one language."""

    event: Kind  # its value is its name in the journal and in the language files
    spoken: tuple[str, ...]  # the words that mean it, the preferred one first; none where it is not spoken
    label: str  # what is written for it: the first spoken word, with a capital
    keys: tuple[str, ...]  # by the names that keys have in a terminal, the one to show first


class Glossary:
    """All events in one language."""

    def __init__(self, language: Language) -> None:
        self._language = language

    def __iter__(self) -> Iterator[Entry]:
        """In the order in which keys are shown."""
        return map(self.entry, KEYS)

    def entry(self, event: Kind) -> Entry:
        """An event."""
        return Entry(event, tuple(self._language.commands.get(event, ())), self.label(event), KEYS[event])

    def label(self, name: str) -> str:
        """What is written for an event, or for one that means something narrower for a moment: "even", "open again"."""
        labels, commands = self._language.labels, self._language.commands
        if name in labels:
            return labels[name]
        return capitalised(commands[name][0]) if commands.get(name) else name


def capitalised(text: str) -> str:
    """The text with a capital in front, and the rest as it is."""
    return text[:1].upper() + text[1:]

"""A visit as it goes: what is known is looked up for each leaf; commands are handed to whoever can run them."""

from collections.abc import Sequence

from assistant.front.known import Gathering, KeptSettings
from assistant.front.values import Words
from assistant.front.visit import Errand, Visit, done, entered, press, typing
from assistant.front.worded import FrontView, FrontWords
from assistant.words.language import load


class Front:
    """Used by one thread at a time."""

    def __init__(self, language: str | None, kept: KeptSettings, sits: Words = ()) -> None:
        """Shown in this language, else in the one that is kept; every job at the loom is begun with `sits` as well."""
        self._gathering = Gathering(language, kept, sits)
        self._known = self._gathering.entering()
        self._visit = entered(self._known)

    def view(self) -> FrontView:
        """What is shown."""
        return FrontWords(load(self._known.code)).view(self._visit, self._known)

    @property
    def code(self) -> str:
        """The language in which it is shown."""
        return self._known.code

    def text(self, key: str, **places: object) -> str:
        """A phrase of the front door."""
        return FrontWords(load(self._known.code)).text(key, **places)

    @property
    def errand(self) -> Errand | None:
        """What is to be run, until `done` is told."""
        return self._visit.runs

    @property
    def left(self) -> bool:
        """Whether the visit is over."""
        return self._visit.left

    def press(self, key: str) -> None:
        """A key was pressed."""
        self._go(press(self._visit, self._known, key))

    def type(self, text: str) -> None:
        """A text stands where one is to be typed."""
        self._go(typing(self._visit, text))

    def done(self, code: int, printed: Sequence[str]) -> None:
        """The errand was run."""
        after = done(self._visit, code, printed)
        self._known = self._gathering.known(after.leaf)
        self._visit = after

    def _go(self, visit: Visit) -> None:
        if visit.leaf != self._visit.leaf:
            self._known = self._gathering.known(visit.leaf)
        self._visit = visit

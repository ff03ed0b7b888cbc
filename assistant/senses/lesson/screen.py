"""What a weaver sees and types in a lesson: in a terminal, or in plain lines."""

import sys
from collections.abc import Callable
from typing import Protocol

from textual.app import ComposeResult
from textual.widgets import Static

from assistant.output import legible
from assistant.senses.lesson.lesson import EXAMPLES, LessonView
from assistant.senses.screen import OnKey
from assistant.senses.screen.lines import KeyLines
from assistant.senses.screen.terminal import Terminal, TerminalApp


class LessonScreen(Protocol):
    """Shows a lesson while it runs."""

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` until it returns, as the screens of a session do; `on_key` gets every key."""

    def show(self, view: LessonView, notice: str) -> None:
        """Show the lesson as it stands now, and what is wrong with a device. From any thread."""


def lesson_screen(plain: bool) -> LessonScreen:
    """Plain lines where there is no terminal, or where they are wished for."""
    terminal = all(stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))
    return LessonBoard() if terminal and not plain else LessonLines()


class LessonLines(KeyLines):
    """A line for each thing said and heard; keys by name, one to a line."""

    def __init__(self) -> None:
        super().__init__()
        self._told: tuple[str, ...] = ()

    def show(self, view: LessonView, notice: str) -> None:
        """Print what changed."""
        heard = view.heard if view.examples else ""
        before, self._told = self._told, (view.keys, notice, view.place, heard, view.said)
        for line in self._told:
            if line and line not in before:
                self.put(line)


class LessonBoard(Terminal["LessonApp"]):
    """The screen of a terminal."""

    def __init__(self) -> None:
        super().__init__(LessonApp)

    def show(self, view: LessonView, notice: str) -> None:
        """Show the lesson as it stands now."""
        if self.app:
            self.app.call_later(self.app.show, view, notice)


class LessonApp(TerminalApp):
    """The word that is asked for, and how many examples of it are good."""

    CSS = """
        Screen { background: #111318; color: #f4efe4; padding: 1 2; }
        Static { height: auto; margin-bottom: 1; }
        #asked { text-style: bold; color: #ffd86b; }
        #notice { text-style: italic; }
        #keys { dock: bottom; margin: 0; color: #a9a598; }
    """

    def compose(self) -> ComposeResult:
        for name in ("place", "asked", "heard", "said", "notice"):
            yield Static(id=name, markup=False)
        yield Static(id="keys", markup=False)

    def show(self, view: LessonView, notice: str) -> None:
        """Show the lesson as it stands now."""
        marks = f"{'● ' * view.examples}{'○ ' * (EXAMPLES - view.examples)} {view.heard}"
        texts = {
            "place": view.place,
            "asked": view.asked,
            "heard": marks if view.asked else "",
            "said": view.said if view.said != view.asked else "",
            "notice": notice,
            "keys": view.keys,
        }
        for name, text in texts.items():
            self.query_one(f"#{name}", Static).update(legible(text))

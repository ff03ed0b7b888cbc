"""What a weaver sees and types while she writes a threading in: in a terminal, or in plain lines."""

from collections.abc import Callable, Sequence
from typing import Protocol

from textual import events
from textual.app import ComposeResult
from textual.widgets import Static

from assistant.output import legible
from assistant.senses.screen import OnKey, at_a_terminal
from assistant.senses.screen.lines import KeyLines
from assistant.senses.screen.terminal import Terminal, TerminalApp
from assistant.writing.typing import MAIN
from assistant.writing.view import SlipView

SHARE = 3  # of the lines of a screen a third each, at most, for the groups and for the rows of the one in hand


class WritingScreen(Protocol):
    """Shows a slip while it grows."""

    lines: bool  # whole lines are typed, not keys

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` until it returns, as the screens of a session do; `on_key` gets every key, or line."""

    def show(self, view: SlipView, notice: str) -> None:
        """Show the slip as it stands now, and what is wrong with a device. From any thread."""


def writing_screen(plain: bool) -> WritingScreen:
    """Plain lines where there is no terminal, or where they are wished for."""
    return WritingBoard() if at_a_terminal() and not plain else WritingLines()


class WritingLines(KeyLines):
    """A line for each thing told; what is typed is taken a line at a time."""

    lines = True

    def __init__(self) -> None:
        super().__init__()
        self._shown = ("", 0)

    def named(self, line: str) -> str:
        """A line as it is."""
        return line.strip()

    def show(self, view: SlipView, notice: str) -> None:
        """Print what changed."""
        (notice_before, answers), self._shown = self._shown, (notice, view.answers)
        if notice and notice != notice_before:
            self.put(notice)
        if view.answers != answers:
            self.put(view.told if view.told.endswith(view.asked) else f"{view.told} {view.asked}")


class WritingBoard(Terminal["WritingApp"]):
    """The screen of a terminal."""

    lines = False

    def __init__(self) -> None:
        super().__init__(WritingApp)

    def show(self, view: SlipView, notice: str) -> None:
        """Show the slip as it stands now."""
        if self.app:
            self.app.call_later(self.app.show, view, notice)


class WritingApp(TerminalApp):
    """The groups that are complete, the one in hand row by row, and what is being typed."""

    CSS = """
        Screen { layout: vertical; background: #111318; color: #f4efe4; }
        Static { height: auto; padding: 0 1; }
        #title { background: #f0c24b; color: #111318; text-style: bold; }
        #complete { color: #a9a598; }
        #hand { color: #ffd86b; text-style: bold; height: 1fr; }
        #told { border-top: solid #3a3d45; }
        #asked { text-style: bold; }
        #typed { color: #ffd86b; text-style: bold; }
        #notice { text-style: italic; }
        #keys { color: #a9a598; }
    """

    def compose(self) -> ComposeResult:
        for name in ("title", "complete", "hand", "told", "asked", "typed", "notice", "keys"):
            yield Static(id=name, markup=False)

    def named(self, event: events.Key) -> str:
        """A letter as it is typed; a sign that a keypad has, too, by the key it came from."""
        if event.key in MAIN or not event.character or not event.is_printable or event.character.isspace():
            return event.key
        return event.character

    def show(self, view: SlipView, notice: str) -> None:
        """Show the slip as it stands now."""
        texts = {
            "title": view.title,
            "complete": self._last(view.complete),
            "hand": "\n".join((*view.hand[:1], self._last(view.hand[1:]))),
            "told": view.told.removesuffix(view.asked),
            "asked": view.asked,
            "typed": f"› {view.typed}▁",
            "notice": notice,
            "keys": view.keys,
        }
        for name, text in texts.items():
            self.query_one(f"#{name}", Static).update("\n".join(map(legible, text.split("\n"))))

    def _last(self, lines: Sequence[str]) -> str:
        """The last of these lines, so many that all else has its place, none broken."""
        most, width = max(3, self.size.height // SHARE), max(1, self.size.width - 2)
        return "\n".join(line if len(line) <= width else f"{line[: width - 1]}…" for line in lines[-most:])

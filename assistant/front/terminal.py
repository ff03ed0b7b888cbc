"""The front door in a terminal; drawn with textual, its looks in front.tcss."""

import threading

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll

from assistant.errors import DeviceLost
from assistant.front.front import Front
from assistant.front.running import Captured, in_terminal
from assistant.front.values import Doing
from assistant.front.visit import Errand
from assistant.front.worded import FrontView, rows
from assistant.output import put
from assistant.senses.screen import LEAVE, interrupts_as_keys
from assistant.senses.screen.letters import flowed
from assistant.senses.screen.regions import Region, nothing
from assistant.senses.screen.terminal import Fitted, TypingApp, key_name
from assistant.senses.screen.typed import typed_lines

TAKES_SCREEN = (Doing.SIT, Doing.TERMINAL)
CURSOR = "▏"
AROUND = 9  # rows that are not for picks, at most


def run(front: Front) -> None:
    """Until the weaver leaves; what takes the terminal is run between two screens of ours."""
    while (errand := _shown(front)) is not None:
        put(f"$ {front.view().line}")
        code = in_terminal(errand.lines)
        if code or errand.doing is Doing.TERMINAL:
            put(front.text("press enter"))
            next(typed_lines(), "")
        front.done(code, ())


def _shown(front: Front) -> Errand | None:
    """On a screen, until something takes the terminal; None once the weaver has left. Raises DeviceLost."""
    app = FrontApp(front)
    with interrupts_as_keys(lambda key, ago: threading.Thread(target=app.leave).start()):  # or it would sleep on
        errand = app.run(mouse=False)
    if app.return_code:
        raise DeviceLost("the board can no longer be shown; everything is saved, go on with --plain")
    return errand


class FrontApp(TypingApp[Errand]):
    """Shows a visit, and returns the errand that takes the terminal; None once the weaver has left."""

    CSS_PATH = "front.tcss"

    def __init__(self, front: Front) -> None:
        super().__init__()
        self._front = front
        self._captured: Captured | None = None

    def compose(self) -> ComposeResult:
        yield Fitted("title")
        yield Fitted("told")
        yield Fitted("picks")
        yield Fitted("asked")
        with VerticalScroll(id="scroll", can_focus=False):
            yield Fitted("reading")
        yield Fitted("said")
        yield Fitted("line")
        yield Fitted("keys")

    def on_mount(self) -> None:
        self._show()

    def on_resize(self) -> None:
        self._show()

    def on_key(self, event: events.Key) -> None:
        """One key of the visit; while something runs, the one that leads back breaks it off."""
        key = key_name(event)
        if key == LEAVE:
            self.leave()
        elif self._captured:
            if key in ("escape", "q", "0"):
                self._stop()
        elif self._front.view().reading and self._scrolled(event.key):
            return
        else:
            typed = self._front.view().asked and event.character and event.is_printable
            self._front.press(str(event.character) if typed else key)
            self._after()

    def leave(self) -> None:
        """Leave, whatever runs."""
        self._stop()
        self.call_later(self.exit)

    def _after(self) -> None:
        """What the last key has led to."""
        errand = self._front.errand
        if self._front.left:
            self.exit()
        elif errand and errand.doing in TAKES_SCREEN:
            self.exit(errand)
        else:
            if errand:
                self._captured = Captured()
                threading.Thread(target=self._run, args=(self._captured, errand), daemon=True).start()
            self._show()

    def _run(self, captured: Captured, errand: Errand) -> None:
        code, printed = captured.run(errand.lines)
        self.call_later(self._ran, code, printed)

    def _ran(self, code: int, printed: list[str]) -> None:
        self._captured = None
        self._front.done(code, printed)
        self._show()

    def _stop(self) -> None:
        if self._captured:
            self._captured.stop()

    def _show(self) -> None:
        view = self._front.view()
        self.screen.set_class(bool(view.reading), "reads")
        for name, region in regions(view, self.size.height).items():
            self.query_one(f"#{name}", Fitted).fit(region)
        if view.reading:
            self.query_one("#scroll", VerticalScroll).scroll_home(animate=False)

    def _scrolled(self, key: str) -> bool:
        """Whether the key moves what is read."""
        read = self.query_one("#scroll", VerticalScroll)
        move = {
            "up": read.scroll_up,
            "down": read.scroll_down,
            "pageup": read.scroll_page_up,
            "pagedown": read.scroll_page_down,
            "home": read.scroll_home,
            "end": read.scroll_end,
        }.get(key)
        if move:
            move(animate=False)
        return move is not None


def regions(view: FrontView, height: int) -> dict[str, Region]:
    """Every region by its name, from top to bottom, on a screen of so many rows."""

    def lines(*texts: str) -> Region:
        return lambda width, _: [line for text in texts if text for line in flowed(text.split(), " ", width)]

    told = lines(*view.told)
    asked = [view.asked, f"{view.typed}{CURSOR}"] if view.asked and not view.reading else []
    return {
        "title": lines(view.title),
        "told": nothing if view.reading or not view.told else lambda width, _: [*told(width, height), ""],
        "picks": nothing if view.reading or view.asked else lambda width, _: rows(view, width, height - AROUND),
        "asked": lines(*asked),
        "reading": (lambda width, _: [row for line in view.reading for row in broken(line, width)])
        if view.reading
        else nothing,
        "said": lines(view.said),
        "line": lines(f"$ {view.line}") if view.line else nothing,
        "keys": lines(view.keys),
    }


def broken(line: str, width: int) -> list[str]:
    """What a command printed, its columns kept where they fit."""
    return [line] if len(line) <= width else flowed(line.split(), " ", width)

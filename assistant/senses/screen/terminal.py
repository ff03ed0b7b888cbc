"""What takes up a terminal while it runs, the board above all; drawn with textual, the board's looks in board.tcss."""

from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Generic, TypeVar

from textual import events
from textual.app import App, ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from assistant.errors import DeviceLost
from assistant.output import legible
from assistant.senses.screen import INVITE, LEAVE, OnKey, interrupts_as_keys
from assistant.senses.screen.driver import terminal_driver
from assistant.senses.screen.invitation import Invitation
from assistant.senses.screen.regions import Region, nothing, regions
from assistant.senses.screen.words import ScreenWords
from assistant.session.view import ALARM, ModeName, Status, View
from assistant.words.language import Language

Begin = Callable[[], Future[None]]
R = TypeVar("R")
SCROLLING: Mapping[str, Callable[[VerticalScroll], Callable[..., None]]] = {  # keys that move through a list
    "up": lambda table: table.scroll_up,
    "down": lambda table: table.scroll_down,
    "pageup": lambda table: table.scroll_page_up,
    "pagedown": lambda table: table.scroll_page_down,
    "home": lambda table: table.scroll_home,
    "end": lambda table: table.scroll_end,
}


def key_name(event: events.Key) -> str:
    """A printable key by its character in lower case, any other by name: "n", "+", "space", "pageup", "ctrl+c"."""
    if event.character and event.is_printable and not event.character.isspace():
        return event.character.lower()
    return event.key


def waited(event: events.Key) -> float:
    """How many seconds ago the key arrived; it may have waited for something to be drawn."""
    return events.Event().time - event.time


class TypingApp(App[R], inherit_bindings=False):
    """Takes keys, whatever bytes are typed; returns an R."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self) -> None:
        super().__init__(driver_class=terminal_driver())


class TerminalApp(TypingApp[None]):
    """Begins the session when it is up, and comes down when the session is over."""

    def __init__(self, begin: Begin, on_key: OnKey) -> None:
        super().__init__()
        self._begin, self._typed = begin, on_key
        self.session: Future[None] | None = None

    def on_mount(self) -> None:
        self.session = self._begin()
        self.session.add_done_callback(lambda _: self.call_later(self.exit))

    def on_key(self, event: events.Key) -> None:
        self._typed(self.named(event), waited(event))

    def named(self, event: events.Key) -> str:
        """A key as `on_key` gets it."""
        return key_name(event)


A = TypeVar("A", bound=TerminalApp)


class Terminal(Generic[A]):
    """Runs a session, or a lesson, with an app in front of it."""

    def __init__(self, make: Callable[[Begin, OnKey], A]) -> None:
        self._make = make
        self.app: A | None = None

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` in a thread of its own while the app is up; afterwards the terminal is as it was."""
        with ThreadPoolExecutor(1, "session") as threads, interrupts_as_keys(on_key):
            self.app = app = self._make(lambda: threads.submit(main), on_key)
            app.run(mouse=False)
            if app.session and not app.session.done():
                on_key(LEAVE, 0.0)
        if app.session:
            app.session.result()
        if app.return_code:
            raise DeviceLost("the board can no longer be shown; everything is saved, go on with --plain")


class Board(Terminal["BoardApp"]):
    """The screen of a terminal: the shafts in figures to be read across the room, the counts around them."""

    def __init__(self, language: Language) -> None:
        words = ScreenWords(language)
        self.invitation: Invitation | None = None
        super().__init__(lambda begin, on_key: BoardApp(words, begin, on_key, self.invitation))

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now."""
        if self.app:
            self.app.call_later(self.app.show, view, status)


class Fitted(Widget):
    """A region of the board."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self._region: Region = nothing

    def fit(self, region: Region) -> None:
        """Show something else."""
        self._region = region
        self.refresh(layout=True)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self._region(width, viewport.height))

    def render(self) -> Content:
        return Content("\n".join(map(legible, self._region(*self.size))))


class BoardApp(TerminalApp):
    """The board while a session runs."""

    CSS_PATH = "board.tcss"

    def __init__(self, words: ScreenWords, begin: Begin, on_key: OnKey, invitation: Invitation | None = None) -> None:
        super().__init__(begin, self._taken)
        self._words, self._invitation, self._further = words, invitation, on_key

    def compose(self) -> ComposeResult:
        yield Fitted("title")
        yield Fitted("place")
        yield Fitted("figures")
        yield Fitted("picture")
        yield Fitted("following")
        yield Fitted("yarns")
        yield Fitted("heading")
        with VerticalScroll(id="scroll", can_focus=False):
            yield Fitted("table")
        yield Fitted("taken")
        yield Fitted("asked")
        yield Fitted("notice")
        yield Fitted("heard")
        yield Fitted("warp")
        yield Fitted("keys")
        yield Fitted("invitation")

    def on_key(self, event: events.Key) -> None:
        """Textual calls this beside that of the class above."""
        self._scroll(event.key)

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now."""
        self.screen.set_class(view.mode is ModeName.COMPLETE, "finished")
        self.screen.set_class(view.mode in ALARM, "off")
        if view.mode in ALARM:
            self.screen.remove_class("inviting")
        for name, region in regions(self._words, view, status).items():
            self.query_one(f"#{name}", Fitted).fit(region)

    def _taken(self, key: str, ago: float) -> None:
        """What covers the board goes away by any key, which then means nothing else, unless it is to leave."""
        covered = self.screen.has_class("inviting")
        if self._invitation and (covered or key == INVITE):
            self.query_one("#invitation", Fitted).fit(self._invitation.fitted)
            self.screen.set_class(not covered, "inviting")
            if key != LEAVE:
                return
        if not (key in SCROLLING and self.screen.has_class("finished")):
            self._further(key, ago)

    def _scroll(self, key: str) -> None:
        """Move through the list of groups, where it is shown."""
        if move := SCROLLING.get(key):
            move(self.query_one("#scroll", VerticalScroll))(animate=False)

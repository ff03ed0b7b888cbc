"""The board in a terminal, drawn with textual: what stands where is in regions.py, its looks in board.tcss."""

import time
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor

from textual import events
from textual.app import App, ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from assistant.errors import DeviceLost
from assistant.senses.screen.interrupts import LEAVE, interrupts_as_keys
from assistant.senses.screen.key_names import arrival, key_name
from assistant.senses.screen.regions import Region, nothing, regions
from assistant.session.view import ALARM, Mode, Status, View

OnKey = Callable[[str, float], None]


class Board:
    """The screen of a terminal: the shafts in figures to be read across the room, the counts around them."""

    def __init__(self) -> None:
        self._app: BoardApp | None = None

    def run(self, main: Callable[[], None], on_key: OnKey) -> None:
        """Run `main` in a thread of its own while the board is up; afterwards the terminal is as it was."""
        with ThreadPoolExecutor(1, "session") as threads, interrupts_as_keys(on_key):
            self._app = app = BoardApp(lambda: threads.submit(main), on_key)
            app.run(mouse=False)
            if app.session and not app.session.done():
                on_key(LEAVE, time.time())
        if app.session:
            app.session.result()
        if app.return_code:
            raise DeviceLost("the board can no longer be shown; everything is saved, go on with --plain")

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now."""
        if self._app:
            self._app.call_later(self._app.show, view, status)


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
        return Content("\n".join(self._region(*self.size)))


class BoardApp(App[None], inherit_bindings=False):
    """Begins the session when the board is up, and takes the board down when the session is over."""

    ENABLE_COMMAND_PALETTE = False
    CSS_PATH = "board.tcss"

    def __init__(self, begin: Callable[[], Future[None]], on_key: OnKey) -> None:
        super().__init__()
        self._begin, self._typed = begin, on_key
        self.session: Future[None] | None = None

    def compose(self) -> ComposeResult:
        yield Fitted("title")
        yield Fitted("place")
        yield Fitted("figures")
        yield Fitted("heading")
        with VerticalScroll(id="scroll", can_focus=False):
            yield Fitted("table")
        yield Fitted("asked")
        yield Fitted("notice")
        yield Fitted("heard")
        yield Fitted("warp")
        yield Fitted("keys")

    def on_mount(self) -> None:
        self.session = self._begin()
        self.session.add_done_callback(lambda _: self.call_later(self.exit))

    def on_key(self, event: events.Key) -> None:
        self._typed(key_name(event), arrival(event))
        self._scroll(event.key)

    def show(self, view: View, status: Status) -> None:
        """Show the session as it stands now."""
        self.screen.set_class(view.mode is Mode.FINISHED, "finished")
        self.screen.set_class(view.mode in ALARM, "off")
        for name, region in regions(view, status).items():
            self.query_one(f"#{name}", Fitted).fit(region)

    def _scroll(self, key: str) -> None:
        """Move through the list of groups, where it is shown."""
        table = self.query_one("#scroll", VerticalScroll)
        move = {
            "up": table.scroll_up,
            "down": table.scroll_down,
            "pageup": table.scroll_page_up,
            "pagedown": table.scroll_page_down,
            "home": table.scroll_home,
            "end": table.scroll_end,
        }.get(key)
        if move:
            move(animate=False)

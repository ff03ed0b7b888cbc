"""The board in a terminal, drawn with textual: what stands where is in regions.py, its looks in board.tcss."""

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from assistant.senses.screen.regions import Region, nothing, regions
from assistant.senses.screen.terminal import Terminal, TerminalApp
from assistant.session.view import ALARM, Mode, Status, View


class Board(Terminal["BoardApp"]):
    """The screen of a terminal: the shafts in figures to be read across the room, the counts around them."""

    def __init__(self) -> None:
        super().__init__(BoardApp)

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
        return Content("\n".join(self._region(*self.size)))


class BoardApp(TerminalApp):
    """The board while a session runs."""

    CSS_PATH = "board.tcss"

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

    def on_key(self, event: events.Key) -> None:
        """Textual calls this beside that of the class above."""
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

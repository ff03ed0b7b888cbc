"""What stands where on the board: each region is lines made to the measure of its place. Pure."""

from collections.abc import Callable, Sequence

from assistant.senses.screen import words
from assistant.senses.screen.columns import apart, flowed, shortened
from assistant.senses.screen.glyphs import big
from assistant.senses.screen.strip import pointer, strip
from assistant.session.view import Mode, Status, View

WARP = "warp "
Region = Callable[[int, int], Sequence[str]]  # columns and rows there are -> lines

KEYS = (
    *("space next", "r repeat", "b back", "d done", "u uneven", "s short", "o over", "0-9 number", "a redo", "f find"),
    *("? not sure", "t right", "p pause", "g go on", "w where", "m mark", "+ - volume", "> < speed", "q leave"),
)
KEYS_FINISHED = ("up, down, page up, page down move through the list", "b back", "q leave")


def nothing(width: int, height: int) -> Sequence[str]:
    """A region that takes no room."""
    return ()


def regions(view: View, status: Status) -> dict[str, Region]:
    """Every region by its name, from top to bottom."""
    asked, notice = f"{view.aside} {words.asked(view)}".split(), words.notice(status).split()
    return {
        "title": lambda width, _: [apart(words.title(view), words.senses(status), width)],
        **(finished(view, status) if view.mode is Mode.FINISHED else under_way(view, status)),
        "asked": lambda width, _: flowed(asked, " ", width),
        "notice": lambda width, _: flowed(notice, " ", width),
        "warp": lambda width, _: mapped(view, width),
    }


def under_way(view: View, status: Status) -> dict[str, Region]:
    """What only stands there while there is something to do."""
    return {
        "place": lambda width, _: [apart(words.place(view), words.group_count(view), width)],
        "figures": lambda width, height: figures(view, width, height),
        "heading": nothing,
        "table": nothing,
        "heard": lambda width, _: [apart(words.heard(status), words.time_left(view), width)],
        "keys": lambda width, _: flowed(KEYS, ", ", width),
    }


def finished(view: View, status: Status) -> dict[str, Region]:
    """What stands there instead when all is done."""
    heading, *groups = words.table(view)
    return {
        "place": lambda width, _: flowed(words.total(view).split(), " ", width),
        "figures": nothing,
        "heading": lambda width, _: [shortened(heading, width)],
        "table": lambda width, _: [shortened(group, width) for group in groups],
        "heard": lambda width, _: [shortened(words.heard(status), width)],
        "keys": lambda width, _: flowed(KEYS_FINISHED, ", ", width),
    }


def figures(view: View, width: int, height: int) -> list[str]:
    """What is to be read across the room, in the middle of its place."""
    lines = big(words.from_afar(view), width, height)
    above = (height - len(lines)) // 2
    blank = " " * width
    return [blank] * above + lines + [blank] * (height - len(lines) - above)


def mapped(view: View, width: int) -> list[str]:
    """The map of the warp and its count, and under it the place now."""
    count = words.warp_count(view)
    room = max(width - len(WARP) - len(count) - 1, 1)
    return [shortened(f"{WARP}{strip(view, room)} {count}", width), " " * len(WARP) + pointer(view, room)]

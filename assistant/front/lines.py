"""The front door in plain lines, for a screen reader, a pipe, or a terminal that can no more."""

from collections.abc import Iterator

from assistant.front.front import Front
from assistant.front.running import Captured, in_terminal
from assistant.front.values import Doing
from assistant.front.worded import FrontView
from assistant.output import put, show
from assistant.senses.screen.typed import typed_lines


def run(front: Front) -> None:
    """Until the weaver leaves, or types no more."""
    lines = typed_lines()
    while not front.left:
        view = front.view()
        show(told(view))
        line = next(lines, None)
        if line is None:
            return
        if view.asked:
            _type(front, line.strip())
        else:
            front.press(line.strip().lower() or "enter")
        while front.errand:
            _run(front)


def _type(front: Front, text: str) -> None:
    """A text on a line; an empty one takes what stands there, and the key of that name leads back."""
    if text == "escape":
        front.press(text)
        return
    if text:
        front.type(text)
    front.press("enter")


def _run(front: Front) -> None:
    errand = front.errand
    assert errand
    put(f"$ {front.view().line}")
    if errand.doing in (Doing.SIT, Doing.TERMINAL):
        front.done(in_terminal(errand.lines), ())
        return
    front.done(*Captured().run(errand.lines))


def told(view: FrontView) -> Iterator[str]:
    """What is to be read, or what can be chosen, a line each."""
    yield ""
    if view.said:
        yield view.said
    if view.reading:
        yield from view.reading
    else:
        yield view.title
        yield from view.told
        for each in view.offered:
            about = f": {each.about}" if each.about else ""
            line = f" [{each.line}]" if each.line else ""
            yield f"{each.digit} {each.label}{about}{line}"
        if view.asked:
            yield f"{view.asked} [{view.typed}]" if view.typed else view.asked
    yield view.keys

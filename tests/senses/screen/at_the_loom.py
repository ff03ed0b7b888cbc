"""Views as a session shows them, and an eye that reads big figures back from blocks."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from assistant.meaning import Tell
from assistant.senses.screen.letters import GLYPHS
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Kind
from assistant.session.view import Figure, GroupLine, GroupState, Item, ModeName, Status, Time, View
from assistant.words.language import load

ENGLISH = load("en")
WORDS = ScreenWords(ENGLISH)


def figure(text: str, caption: str = "") -> Figure:
    """A figure, and what stands under it; a phrase that no language has is shown as it is."""
    return Figure(text, Tell(caption) if caption else None)


def items(text: str) -> tuple[Item, ...]:
    """A call that reads so."""
    return (Item(Tell(text)),) if text else ()


WELL = Status(hears=True, speaks=True, heard="next")

CALLING = View(
    title="Hearth runner",
    job="thread",
    unit="end",
    compares=False,
    mode=ModeName.CALLING,
    figures=(figure("1", "215"), figure("2", "216"), figure("3", "217"), figure("4", "218")),
    called=items("1, 2, 3, 4"),
    first=215,
    calling=4,
    prompt=(),
    group="stripe 4",
    group_number=5,
    groups=12,
    counted=14,
    expected=24,
    done=214,
    total=1000,
    left=Time("thread", 11_500, own=True),
    summary=(GroupLine("stripe 4", 24, 14, GroupState.OPEN),),
    before=14,
    offers=tuple(Kind),
)


def called(*figures: Figure, **more: object) -> View:
    """A call that shows these."""
    line = ", ".join(str(figure.text) for figure in figures)
    return replace(CALLING, **{"figures": figures, "called": items(line), "calling": len(figures), **more})  # type: ignore[arg-type]


def asking(mode: ModeName, prompt: str, **more: object) -> View:
    """No call is out; something is asked."""
    return replace(called(), mode=mode, prompt=(Tell(prompt),), **more)  # type: ignore[arg-type]


CLOSING = asking(ModeName.CLOSING, "All 24 ends of stripe 4 are called. Did they come out even?", counted=24)
WHICH = asking(ModeName.WHICH, "Short or over?", counted=24)
COUNTING = asking(ModeName.COUNTING, "How many ends were missing?", counted=24)
PARTWAY = asking(ModeName.PARTWAY, "How many ends of this call are threaded?", counted=20)
LAST_CALL = asking(ModeName.LAST_CALL, "How many ends of this call are threaded?", counted=20)
OFF = asking(ModeName.OFF, "Thread it again, say that it is right, or go on.", counted=22)
HEDDLES = asking(ModeName.HEDDLES, "On which shaft is a heddle left?", counted=24, called=(), figures=())
PASSING = asking(ModeName.PASSING, "All 24, or 23?", counted=23, over=1, called=(), figures=())
GOING = asking(ModeName.GOING, "To which group?", called=(), figures=())
THERE = asking(ModeName.THERE, "Say next to hear on.", figures=(figure("3"), figure("1")), home="stripe 9")
ASKING = asking(
    ModeName.ASKING,
    "Which shaft is end 18 on?",
    counted=23,
    over=1,
    called=(),
    figures=(figure("18?", "from the right"),),
)
FOUND = asking(
    ModeName.FOUND, "Take out 4 ends.", counted=23, over=1, called=(), figures=(figure("20", "from this end on"),)
)
SURE = asking(ModeName.SURE, "Begin stripe 4 anew?", counted=22)
PAUSED = asking(ModeName.PAUSED, "Paused.")
FINISHED = asking(
    ModeName.COMPLETE,
    "The warp is threaded.",
    groups=40,
    done=959,
    total=960,
    summary=tuple(
        {
            7: GroupLine("stripe 7", 24, 22, GroupState.OFF),
            22: GroupLine("stripe 22", 24, 24, GroupState.SETTLED, 1),
        }.get(n, GroupLine(f"stripe {n}", 24, 24, GroupState.EVEN))
        for n in range(1, 41)
    ),
)
EVERY = {
    view.mode: view
    for view in (
        *(CALLING, CLOSING, WHICH, COUNTING, PARTWAY, LAST_CALL, OFF),
        *(HEDDLES, PASSING, GOING, THERE, ASKING, FOUND, SURE, PAUSED, FINISHED),
    )
}

LETTERS = {tuple(rows.split()): letter for letter, rows in GLYPHS.items()}
INK = {" ": (False, False), "▀": (True, False), "▄": (False, True), "█": (True, True)}


def read(lines: Sequence[str]) -> list[str]:
    """The big figures in these lines of text, one string for each piece, as an eye across the room reads them."""
    return [piece for band in bands(lines) for piece in pieces(band)]


def bands(lines: Sequence[str]) -> Iterator[list[str]]:
    """Rows of blocks that belong together, as half rows of # and blanks."""
    band: list[str] = []
    for line in [*lines, ""]:
        if set(line) & set("█▀▄") and not set(line) & set("░─▲") and not line.strip().startswith("warp "):
            cells = [INK.get(c, (False, False)) for c in line]
            band += ["".join("#" if cell[half] else " " for cell in cells) for half in (0, 1)]
        elif band:
            yield [row for row in band if row.strip()]
            band = []


def pieces(band: list[str]) -> Iterator[str]:
    """Figures of a band, joined where no more than one dot is between them."""
    columns = ["".join(column) for column in zip(*band, strict=True)]
    text, gap, dot = "", 0, 0.0
    figure: list[str] = []
    for column in [*columns, " "]:
        if column.strip():
            if not figure and text and gap > 1.25 * dot:
                yield text
                text = ""
            figure.append(column)
            continue
        if figure:
            letter, dot = recognised(figure)
            text, figure, gap = text + letter, [], 0
        gap += 1
    yield text


def recognised(figure: list[str]) -> tuple[str, float]:
    """The letter that a figure of columns shows, and the columns that one of its dots takes."""
    for across in (2, 3, 4, 5):
        if len(figure) % across == 0:
            wide, high = len(figure) // across, len(figure[0]) / 5
            rows = tuple(
                "".join("#" if figure[x * wide][int((y + 0.5) * high)] == "#" else "." for x in range(across))
                for y in range(5)
            )
            if rows in LETTERS:
                return LETTERS[rows], wide
    raise AssertionError(f"no letter: {figure}")

"""A visit in words, for every kind of screen: what stands there, and the command each choice stands for. Pure."""

from dataclasses import dataclass

from assistant.front.leaves import opened
from assistant.front.values import HALL, Doing, Known, Pick, Words
from assistant.front.visit import Visit, on_sheet
from assistant.output import legible
from assistant.warp.spelling import typed
from assistant.words.columns import columns, padded, shortened
from assistant.words.language import Language
from assistant.words.phrases import Phrases

PROGRAM = "heddlecall"
RUNS = {Doing.STAY: "runs", Doing.READ: "runs", Doing.SIT: "under way", Doing.TERMINAL: "in the terminal"}


@dataclass(frozen=True, slots=True)
class Offered:
    """A pick in words; `line` is what it stands for, "" where it only leads on."""

    digit: str
    label: str
    about: str
    line: str
    is_so: bool


@dataclass(frozen=True, slots=True)
class FrontView:
    """What a screen shows."""

    title: str
    told: tuple[str, ...]
    offered: tuple[Offered, ...]
    at: int
    asked: str  # the label of what is to be typed; "" where one chooses
    typed: str
    line: str  # the command that Enter stands for, or the one that runs
    said: str
    reading: tuple[str, ...]
    runs: bool
    in_terminal: bool  # what runs has the terminal
    keys: str
    is_hall: bool  # from where back leads out


class FrontWords:
    """Words a visit in a language."""

    def __init__(self, language: Language) -> None:
        self.code = language.code
        phrases = Phrases.read(language, "front", "screen", "printed", "paper", "errors")
        self.text, self._worded = phrases.text, phrases.worded

    def view(self, visit: Visit, known: Known) -> FrontView:
        """What is shown of a visit."""
        here = opened(visit.leaf, known)
        offered = tuple(self._offered(n, pick, known) for n, pick in enumerate(on_sheet(visit, here.picks), 1))
        text = (here.asks.value if visit.typed is None else visit.typed) if here.asks else ""
        pick = here.asks.becomes(text.strip()) if here.asks else None
        line = command(known.lines(pick)) if pick else offered[visit.at].line if visit.at < len(offered) else ""
        if visit.runs:
            line = command(visit.runs.lines)
        return FrontView(
            title=offered[visit.at].label if visit.reading and offered else legible(self._worded(here.title)),
            told=tuple(legible(self._worded(told)) for told in here.told),
            offered=offered,
            at=visit.at,
            asked=self._worded(here.asks.label) if here.asks else "",
            typed=text,
            line=line,
            said=legible(self._said(visit, len(offered))),
            reading=tuple(map(legible, visit.reading)),
            runs=visit.runs is not None,
            in_terminal=visit.runs is not None and visit.runs.doing is Doing.TERMINAL,
            keys=self._keys(visit, here.asks is not None),
            is_hall=visit.leaf == HALL,
        )

    def _offered(self, number: int, pick: Pick, known: Known) -> Offered:
        label, about = legible(self._worded(pick.label)), legible(self._worded(pick.about))
        if pick.is_so:
            about = self.text("is so", about=about) if about else self.text("so")
        return Offered(str(number), label, about, command(known.lines(pick)), pick.is_so)

    def _said(self, visit: Visit, count: int) -> str:
        if visit.runs:
            return self.text(RUNS[visit.runs.doing])
        return self.text("no such choice", count=count) if visit.refused else visit.said

    def _keys(self, visit: Visit, asks: bool) -> str:
        if visit.runs:
            return self.text("keys running") if visit.runs.doing in (Doing.STAY, Doing.READ) else ""
        if visit.reading:
            return self.text("keys reading")
        return self.text("keys typing" if asks else "keys leaving" if visit.leaf == HALL else "keys")


def command(lines: tuple[Words, ...]) -> str:
    """As it is typed, one after the other."""
    return "; ".join(" ".join((PROGRAM, *map(typed, words))) for words in lines)


def rows(view: FrontView, width: int, height: int) -> list[str]:
    """The picks, the one that Enter chooses marked: what else is said of them beside, or below where it has room."""
    wide = max((columns(each.label) for each in view.offered if each.about), default=0)
    marked = [(f"{'>' if n == view.at else ' '} {each.digit} ", each) for n, each in enumerate(view.offered)]
    beside = [
        f"{mark}{padded(each.label, wide)}  {each.about}" if each.about else mark + each.label for mark, each in marked
    ]
    below = [row for mark, each in marked for row in (mark + each.label, f"    {each.about}") if row.strip()]
    if all(columns(row) <= width for row in beside):
        return beside
    close = [f"{mark}{each.label}  {each.about}".rstrip() for mark, each in marked]
    return [shortened(row, width) for row in (below if len(below) <= height else close)]

"""What commands print, in the words of one language: jobs, groups and counts as log, next and the others name them."""

from collections.abc import Iterable, Sequence
from functools import reduce

from assistant.session.view import GroupLine, GroupState, state_name
from assistant.warp.lengths import long
from assistant.warp.model import Unit
from assistant.warp.passes.pace import Time
from assistant.warp.plan.work import duration
from assistant.words.columns import columns, padded
from assistant.words.language import Language
from assistant.words.phrases import Phrases


class Printed:
    """Words a command's lines; what cards and the report say, too, is said as there."""

    def __init__(self, language: Language) -> None:
        phrases = Phrases.read(language, "printed", "paper", "errors")
        self.text, self.told, self.worded = phrases.text, phrases.told, phrases.worded
        self.decimal = language.numerals.fixed
        self._screen = Phrases.read(language, "screen").text
        self._state = Phrases.read(language, "states").text

    def units(self, unit: str, count: int) -> str:
        """What is counted, as it goes with a number: "end" or "ends"."""
        return self._screen(unit, count=count)

    def job(self, name: str) -> str:
        """A job by the name of its pass."""
        return self.text(f"job {name}")

    def jobs(self, names: Iterable[str]) -> str:
        """Several, each once."""
        return ", ".join(map(self.job, dict.fromkeys(names)))

    def state(self, state: GroupState, compares: bool = False) -> str:
        """How a group stands."""
        return self._state(state_name(state, compares))

    def listed(self, names: Iterable[object]) -> str:
        """Several as one: "3 and 7"."""
        return reduce(lambda one, other: self._screen("and", one=one, other=other), map(str, names))

    def length(self, length: float, unit: Unit) -> str:
        """A length in the warp's unit: "12.6 inches", "45.2 cm"."""
        return self.told(long(length, unit))

    def duration(self, seconds: float) -> str:
        """A time as is told: "1 h 20 min"."""
        told = duration(seconds)
        return self._screen(told.phrase, **told.places)

    def left(self, time: Time) -> str:
        """How long is left, and by what pace: "about 1 h 20 min left, by common practice"."""
        return self._screen(time.told.phrase, **time.told.places)

    def counted(self, counted: int, total: int, unit: str) -> str:
        """How much is counted: "96 of 252 ends"."""
        return self.text("count", counted=counted, total=total, units=self.units(unit, total))

    def group_lines(self, groups: Sequence[GroupLine], compares: bool = False) -> list[str]:
        """One line a group: its name, units counted of those expected, and how it stands."""
        width = widest(group.name for group in groups)
        return [
            f"  {padded(group.name, width)}  "
            f"{self.text('counted of', counted=f'{group.counted:4}', expected=f'{group.expected:4}')}  "
            f"{self.state(group.state, compares)}{self.left_over(group)}"
            for group in groups
        ]

    def left_over(self, group: GroupLine) -> str:
        """What goes behind the count of a group: ", 1 left over", passed on, or off by dents; else ""."""
        if group.dents:
            told = self._screen("dents over" if group.dents > 0 else "dents short", count=abs(group.dents))
            return f", {told}"
        name = "left over in ends" if group.over_in_ends else "left over"
        over = f", {self._screen(name, count=group.over)}" if group.over else ""
        return over + (f", {self._screen('passed on', count=group.passed)}" if group.passed else "")


def widest(names: Iterable[str]) -> int:
    """The columns that the widest of these takes."""
    return max(map(columns, names))

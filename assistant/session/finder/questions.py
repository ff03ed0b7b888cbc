"""The questions that can be asked, and what answering takes."""

from dataclasses import dataclass
from enum import StrEnum

from assistant.warp.notation import Shafts

Answer = Shafts | int

NO_END: Shafts = ()  # the answer where there is no such end

# Effort, in the time of counting one end: assumption, no source.
ASKING = 20.0  # hearing the question, looking, answering: so much that a few questions outweigh some counting
LEFT_OVER = 4.0  # counting the heddles left on a shaft


class Ask(StrEnum):
    """A kind of question."""

    SHAFTS = "shafts"  # which shafts is end `end` on? () where there is no such end
    COUNT = "count"  # how many of the first `end` ends are on `shaft`? A wrong shaft before it shows in this
    HEDDLES = "heddles"  # how many heddles are left on `shaft`? Negative: short


class Side(StrEnum):
    """Where the counting of ends begins."""

    FIRST = "first"  # at the clip, with the first end of the group
    LAST = "last"  # at the far end, with the last end on the loom


@dataclass(frozen=True, slots=True)
class Question:
    """One question."""

    ask: Ask
    end: int = 0  # from 1, counted from `side`; 0 for HEDDLES
    side: Side = Side.FIRST
    shaft: int = 0  # 0 for SHAFTS


@dataclass(frozen=True, slots=True)
class Landmark:
    """The end looked at last, counted from each side; 0 where that is not known."""

    first: int = 0
    last: int = 0

    def further(self, question: Question) -> int | None:
        """How far past the landmark, away from the side, the end asked about lies; None where the side is as near."""
        mark = self.first if question.side is Side.FIRST else self.last
        if question.ask is not Ask.SHAFTS or not mark or abs(question.end - mark) >= question.end:
            return None
        return question.end - mark

    def counted(self, question: Question) -> int:
        """The ends to count to answer: from the side, or from the landmark where that is nearer."""
        further = self.further(question)
        return question.end if further is None else abs(further)

    def effort(self, question: Question) -> float:
        """What asking, counting and answering takes, in the time of counting one end."""
        return ASKING + (LEFT_OVER if question.ask is Ask.HEDDLES else self.counted(question))


NOWHERE = Landmark()

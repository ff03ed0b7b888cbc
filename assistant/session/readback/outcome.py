"""What is known after an utterance. Ends count from 1 at the first of the group."""

from dataclasses import dataclass

from assistant.session.finder.mistakes import Fault
from assistant.warp.notation import Shafts


@dataclass(frozen=True, slots=True)
class Good:
    """Everything read so far is as expected."""

    confirmed: int  # ends of the group known to be right, all from the first on
    next_end: int  # where the weaver is taken to read on; the end after the last at the end of the group


@dataclass(frozen=True, slots=True)
class AskAgain:
    """It cannot be told whether something was misheard or is threaded otherwise: read these ends once more."""

    first: int
    last: int  # may be the one after the last of the group: is there another end?


@dataclass(frozen=True, slots=True)
class Difference:
    """The threading is not as expected."""

    end: int  # the first end that reads otherwise; the one after the last where there are ends too many
    since: int  # the mistake may as well have been made at any end from this one on: they read the same
    expected: Shafts  # () beyond the end of the group
    read: Shafts  # () where no end is left to read
    faults: tuple[Fault, ...]  # the likeliest, with those that read the same; () where more than one thing is wrong
    belief: float  # the probability that the threading differs at this end


Outcome = Good | AskAgain | Difference

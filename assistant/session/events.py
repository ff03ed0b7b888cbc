"""What can happen at the loom, and what the helper does about it. Time arrives in events, in seconds."""

from dataclasses import dataclass
from enum import StrEnum

from assistant.finder import Outcome, Question, Repair
from assistant.finder.reed import ReedQuestion
from assistant.meaning import Tell
from assistant.readback import Alike
from assistant.session.edit import Revision


class Kind(StrEnum):
    """What happened. The values are the names used in the journal and in the language files."""

    SIT_DOWN = "sit down"  # a sitting begins; a number is the size of calls from now on
    LEAVE = "leave"  # a sitting ends
    NEXT = "next"  # the call is done; in answer to "even?": yes
    REPEAT = "repeat"
    BACK = "back"
    FINISHED = "finished"  # the ends of this group are used up
    UNEVEN = "uneven"  # the count did not come out; asks short or over
    SHORT = "short"  # ends were missing; a number says how many
    OVER = "over"  # ends were left; a number says how many
    NUMBER = "number"  # a number that was asked for
    READ = "read"  # shafts read aloud, a row of them
    REDO = "redo"  # do the group again from its beginning
    FIND = "find"  # look for the mistake in a group marked off
    UNSURE = "unsure"  # what was asked about the threading cannot be told
    SETTLE = "settle"  # the weaver's word that a group marked off is right
    HEDDLE_LEFT = "heddle left"  # a heddle stayed empty; a number says how many
    HEDDLE_MISSING = "heddle missing"  # a heddle was lacking; a number says how many
    PASS_ON = "pass on"  # what is over or short belongs to the next group
    GO_TO = "go to"  # another group; a number says which, from 1
    PAUSE = "pause"
    RESUME = "resume"
    WHERE = "where"
    HELP = "help"  # what can be said or pressed now; asked again, what else; never moves the session
    LOUDER = "louder"
    QUIETER = "quieter"
    FASTER = "faster"
    SLOWER = "slower"
    NOTE = "note"  # a mark at this place, with a text where one was written; never moves the session
    UNCLEAR = "unclear"  # something was said or pressed that was not understood
    THREADED_BEFORE = "threaded before"  # so many groups were threaded before the record began
    HEDDLES_COUNTED = "heddles counted"  # a record says whether heddles were counted out: 1, or 0; moves nothing
    CLOCK_SET = "clock set"  # the wall clock was set, forward by a number of seconds, or back; moves nothing
    SLEPT = "slept"  # the machine did, for a number of seconds; moves nothing
    EDITED = "edited"  # the sequence file was, and what is done hangs so


NOT_BY_HAND = (
    *(Kind.SIT_DOWN, Kind.READ, Kind.UNCLEAR),
    *(Kind.THREADED_BEFORE, Kind.HEDDLES_COUNTED, Kind.CLOCK_SET, Kind.SLEPT, Kind.EDITED),
)  # what no key, touch or button means


class Origin(StrEnum):
    """What an event came by. The values are the names used in the journal and in the language files."""

    VOICE = "voice"
    KEY = "key"  # of the keyboard, or a pedal that types
    PEDAL = "pedal"
    PAGE = "page"
    CLOCK = "clock"  # what nobody said or pressed
    WRITTEN = "written"  # a note by the command, beside any sitting


# What a source holds beside its Origin, where a journal is from before the event meant what it means now.
NOT_LOOKED_FOR = ", not looked for"  # UNEVEN, FIND: mistakes were not looked for, or not in this job
NOT_ASKED = ", not asked"  # it was not asked whether what was heard is meant
AS_BEFORE = ", as before"
CALLED_THEN = ", called as then"  # SIT_DOWN: the sley plan was made, and calls were cut, as they were then
SHAFTS_ALONE = ", shafts alone"  # of a group read back: it was not asked how its ends lie

About = Question | ReedQuestion | Repair | Outcome | Revision  # a question of a search, what it led to; what was edited


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened, at `at` seconds since the epoch.

    Within a sitting `at` is steady: the wall clock as it stood at the beginning, and the time that has passed since.
    """

    kind: Kind
    at: float
    number: int | None = (
        None  # of NUMBER; of SHORT, OVER: how many, if said; of SIT_DOWN: units in a call; else seconds
    )
    source: str = ""  # an Origin, or "" where none is told; in a record from before, marks as above may follow it
    row: tuple[int, ...] = ()  # READ: the shafts read aloud, in order
    text: str = ""  # NOTE: what was written; SIT_DOWN: the name of the weaver, "" where none is told
    alike: Alike | None = None  # SIT_DOWN: numbers that sound alike in the weaver's language; None where not told
    about: About | None = None  # what of a search stood when it came, where that is told; of EDITED, the edit

    @property
    def by(self) -> str:
        """The Origin alone, or ""."""
        return self.source.partition(",")[0]

    @property
    def called_then(self) -> bool:
        """Calls are as they were when it was kept, not as they are now."""
        return CALLED_THEN in self.source

    @property
    def as_before(self) -> bool:
        """It is kept from when it meant something else."""
        return AS_BEFORE in self.source


class Tone(StrEnum):
    """Short signals, each unlike the others."""

    HEARD = "heard"
    EVEN = "even"
    OFF = "off"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class Sound:
    """Sound a tone."""

    tone: Tone


class Knob(StrEnum):
    """What of the mouth can be turned."""

    VOLUME = "volume"
    SPEED = "speed"


@dataclass(frozen=True, slots=True)
class Adjust:
    """Turn a knob of the mouth up (+1) or down (-1) by one notch."""

    what: Knob
    notches: int


TURNS = {
    Kind.LOUDER: Adjust(Knob.VOLUME, 1),
    Kind.QUIETER: Adjust(Knob.VOLUME, -1),
    Kind.FASTER: Adjust(Knob.SPEED, 1),
    Kind.SLOWER: Adjust(Knob.SPEED, -1),
}


@dataclass(frozen=True, slots=True)
class Stop:
    """Leave the loom; everything is saved."""


Effect = Tell | Sound | Adjust | Stop

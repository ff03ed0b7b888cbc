"""What can be said or pressed at a moment, the likeliest first, and what each of it means there. Pure."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from assistant.meaning import Tell
from assistant.session.events import Kind, Origin
from assistant.session.modes import ALARM, ModeName

AT_ONCE = 3  # hints that are told aloud
UNSPOKEN = (Kind.LEAVE,)  # what is pressed only
BY_SWITCH = (Kind.NEXT, Kind.REPEAT, Kind.UNEVEN, Kind.BACK)  # what one switch of a pedal says by its gestures

IN_MODE: Mapping[tuple[Kind, ModeName], str] = {  # where an event means something narrower: a label of its own
    (Kind.NEXT, ModeName.CLOSING): "even",
    (Kind.RESUME, ModeName.OFF): "go on, still off",
    (Kind.NEXT, ModeName.ASKING): "on no other",
    (Kind.NEXT, ModeName.FOUND): "set it right",
    (Kind.NEXT, ModeName.THERE): "further on",
    (Kind.NEXT, ModeName.SURE): "yes",
    (Kind.NEXT, ModeName.PAUSED): "go on",
    (Kind.NEXT, ModeName.COMPLETE): Kind.LEAVE,
    (Kind.BACK, ModeName.PARTWAY): "none of it",
    (Kind.BACK, ModeName.OFF): "open again",
    (Kind.BACK, ModeName.SURE): "no",
    (Kind.BACK, ModeName.COMPLETE): "open again",
}
IN_JOB: Mapping[tuple[Kind, str, ModeName], str] = {  # where a pass compares
    (Kind.NEXT, "check", ModeName.CALLING): "as called",
    (Kind.FIND, "check", ModeName.CALLING): "it differs",
    (Kind.FIND, "read", ModeName.CLOSING): "it differs",
    (Kind.NEXT, "read", ModeName.CALLING): "no further end",
    (Kind.NEXT, "read", ModeName.CLOSING): "no further end",
}
YES_OR_NO = {Kind.NEXT: "yes", Kind.FIND: "no"}  # of a question of the search to which "mistake" is an answer

LIKELY: Mapping[ModeName, tuple[Kind, ...]] = {  # what is done most in each mode, and then as in ORDER
    ModeName.CALLING: (Kind.NUMBER, Kind.NEXT, Kind.REPEAT, Kind.FINISHED),
    ModeName.CLOSING: (Kind.NEXT, Kind.OVER, Kind.SHORT),
    ModeName.WHICH: (Kind.NUMBER, Kind.SHORT, Kind.OVER),
    ModeName.ASKING: (Kind.NUMBER, Kind.NEXT, Kind.UNSURE),
    ModeName.FOUND: (Kind.NEXT, Kind.NUMBER, Kind.REPEAT),
    ModeName.SURE: (Kind.NEXT, Kind.BACK),
    ModeName.COMPLETE: (Kind.NEXT, Kind.BACK, Kind.FIND),
    **dict.fromkeys(ALARM, (Kind.NUMBER, Kind.FIND, Kind.REDO, Kind.SETTLE)),
}
LIKELY_IN_JOB: Mapping[tuple[str, ModeName], tuple[Kind, ...]] = {
    ("check", ModeName.CALLING): (Kind.FIND, Kind.NEXT, Kind.REPEAT),
    ("read", ModeName.CLOSING): (Kind.NEXT, Kind.FIND, Kind.NUMBER),
}
ORDER = (  # of all that is said or pressed, but for the asking itself
    *(Kind.NUMBER, Kind.NEXT, Kind.RESUME, Kind.REPEAT, Kind.BACK, Kind.FINISHED, Kind.SHORT, Kind.OVER, Kind.FIND),
    *(Kind.UNEVEN, Kind.UNSURE, Kind.REDO, Kind.SETTLE, Kind.HEDDLE_LEFT, Kind.HEDDLE_MISSING, Kind.PASS_ON),
    *(Kind.GO_TO, Kind.WHERE, Kind.PAUSE, Kind.NOTE, Kind.LOUDER, Kind.QUIETER, Kind.FASTER, Kind.SLOWER, Kind.LEAVE),
)

LOOKING = (ModeName.ASKING, ModeName.FOUND, ModeName.THERE)
WHERE_MEANT: Mapping[Kind, tuple[ModeName, ...]] = {  # elsewhere it is another way of saying what stands there already
    Kind.FINISHED: (ModeName.CALLING,),
    Kind.UNEVEN: (ModeName.CALLING, ModeName.CLOSING),
    Kind.FIND: (ModeName.CALLING, ModeName.CLOSING, *ALARM, ModeName.ASKING, ModeName.THERE, ModeName.COMPLETE),
    Kind.REDO: (ModeName.CALLING, ModeName.CLOSING, *ALARM, *LOOKING, ModeName.COMPLETE),
    Kind.SETTLE: (*ALARM, *LOOKING, ModeName.COMPLETE),
    Kind.HEDDLE_LEFT: (ModeName.CLOSING, ModeName.OFF),
    Kind.HEDDLE_MISSING: (ModeName.CLOSING, ModeName.OFF, ModeName.ASKING),
    Kind.RESUME: (ModeName.OFF,),
    Kind.PAUSE: tuple(mode for mode in ModeName if mode is not ModeName.PAUSED),
}


@dataclass(frozen=True, slots=True)
class Hint:
    """Something that means something now, with the name of the label that fits."""

    kind: Kind
    label: str


@dataclass(frozen=True, slots=True)
class Given:
    """How an event is given: its word, its keys or its presses. A place of a Tell may hold it, or a Hint."""

    kind: Kind
    by: Origin


def meaning(kind: Kind, mode: ModeName, job: str, offers: Collection[Kind]) -> str:
    """The name of the label of an event at a moment: the event's own, or of what it means more narrowly there."""
    if yes_or_no(mode, offers) and kind in YES_OR_NO:
        return YES_OR_NO[kind]
    return IN_JOB.get((kind, job, mode), IN_MODE.get((kind, mode), kind))


def yes_or_no(mode: ModeName, offers: Collection[Kind]) -> bool:
    """A question of the search is asked that "mistake" denies."""
    return mode is ModeName.ASKING and Kind.FIND in offers


def hints(mode: ModeName, job: str, offers: Collection[Kind], away: bool = False) -> tuple[Hint, ...]:
    """All that the weaver can say or press, the likeliest first; `away`: another group than the one to come back to."""
    short = (*YES_OR_NO, Kind.UNSURE) if yes_or_no(mode, offers) else ()
    likely = short or LIKELY_IN_JOB.get((job, mode)) or LIKELY.get(mode, ())
    ordered = dict.fromkeys((*likely, *ORDER))
    meant = (kind for kind in ordered if (away and kind is Kind.RESUME) or mode in WHERE_MEANT.get(kind, (mode,)))
    return tuple(Hint(kind, meaning(kind, mode, job, offers)) for kind in meant if kind in offers)


def by_switch(mode: ModeName, job: str, offers: Collection[Kind]) -> tuple[Hint, ...]:
    """All that one switch of a pedal can say."""
    return tuple(Hint(kind, meaning(kind, mode, job, offers)) for kind in BY_SWITCH if kind in offers)


def told(named: Sequence[Hint], by: str, numbers: Sequence[int], asked: int | None = None) -> Iterator[Tell]:
    """A few of them as whoever asks gives them, by a word, a key or presses; asked again, the next few.

    `asked`: how often in a row before; None where it was not asked.
    """
    way = Origin(by) if by in (Origin.KEY, Origin.PEDAL) else Origin.VOICE
    able = [hint for hint in named if way is not Origin.VOICE or hint.kind not in UNSPOKEN]
    few = [able[first : first + AT_ONCE] for first in range(0, len(able), AT_ONCE)]
    if not few:
        return
    yield Tell(f"hints by {way}")
    for hint in few[(asked or 0) % len(few)]:
        what = Tell("hint number", least=numbers[0], largest=numbers[-1]) if hint.kind is Kind.NUMBER else hint
        if way is not Origin.VOICE:
            yield Tell("hint pressed", press=Given(hint.kind, way), what=what)
        else:
            yield Tell("hint said", what=Given(hint.kind, way) if what is hint else what)
    if len(few) > 1 and asked == 0:
        yield Tell("hints again")

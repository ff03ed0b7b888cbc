"""What each event does in each mode: the rules, and below them the whole table.

A rule takes a place, its mode and an event, and returns the place after it with what the helper does about it. Its
guard says whether the event means something there; what is offered asks the same guard. Everything that moves a
session happens here, and nothing here knows a language.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from assistant.finder import Ask, Look, Outcome, Way
from assistant.meaning import Tell
from assistant.readback import AskAgain, Difference, Good, Reading
from assistant.session.events import NOT_LOOKED_FOR, Adjust, Effect, Event, Kind, Knob, Origin, Sound, Stop, Tone
from assistant.session.modes import (
    MODES,
    Asking,
    Calling,
    Closing,
    Complete,
    Counting,
    Found,
    LastCall,
    Mode,
    Off,
    Partway,
    Paused,
    Sure,
    Which,
)
from assistant.session.place import Place
from assistant.session.telling import marked, prompt, saved, settled, welcome, whereabouts
from assistant.session.view import GroupState
from assistant.warp.passes import Manner

SHORT, OVER = 1, 2  # the numbers that answer "short or over?"
MOST_OVER = 999  # ends left over that anyone would count
MOST_ASKED = 5  # times the same ends are asked for again before the weaver is sent to look

Telling = Callable[[Place], Iterable[Tell]]  # what is told of the place a rule leads to, worked out if it is wanted
Done = tuple[Place, list[Effect | Telling]]
Does = Callable[[Place, Any, Event], Done]  # the mode is the one the rule stands under in the table
Guard = Callable[[Place, Any, Event], bool]


@dataclass(frozen=True, slots=True)
class Rule:
    """What an event does, and whether it means something."""

    does: Does
    means: Guard


def always(place: Place, mode: Mode, event: Event) -> bool:
    """The guard of what means something wherever it stands in the table."""
    return True


def rule(means: Guard) -> Callable[[Does], Rule]:
    """Make a rule of a function, with this guard."""
    return lambda does: Rule(does, means)


def heard_first(rule: Rule) -> Rule:
    """The same, but where it was only heard it is asked first whether it is meant."""

    def does(place: Place, mode: Mode, event: Event) -> Done:
        if event.source != Origin.VOICE:
            return rule.does(place, mode, event)
        group = place.first_off if isinstance(mode, Complete) else place.group
        asked = replace(place, group=place.group if group is None else group)
        return asked.to(Sure(event.kind, mode, place.group)), [prompt]

    return Rule(does, rule.means)


def asks(place: Place, *before: Effect | Telling) -> Done:
    """Do these, then tell what the weaver is waited for to do."""
    return place, [*before, prompt]


def not_now(place: Place, mode: Mode, event: Event) -> Done:
    """The event means nothing in this mode; the weaver is told what would."""
    at_first = event.kind is Kind.BACK and isinstance(mode, Calling)
    return asks(place, Sound(Tone.UNCLEAR), *([Tell("first call")] if at_first else []))


def compares(place: Place, mode: Mode, event: Event) -> bool:
    """In this job what is threaded is compared with the sequence."""
    return place.course.job.compares


def counts(place: Place, mode: Mode, event: Event) -> bool:
    """In this job units are counted off a bundle, which may come out short or over."""
    return not compares(place, mode, event)


def closes(place: Place, mode: Mode, event: Event) -> bool:
    """The last call of a group is out that is counted off a bundle."""
    return counts(place, mode, event) and place.at_last_call()


def answers(place: Place, mode: Mode) -> range:
    """The numbers that answer what is asked in a mode, or that may be read aloud; empty where none does."""
    match mode:
        case Calling() | Closing() if place.course.job.manner is Manner.READ:
            return range(1, place.course.warp.loom.shafts + 1)
        case Which():
            return range(SHORT, OVER + 1)
        case Counting(missing):
            return range((place.size if missing else MOST_OVER) + 1)
        case Partway():
            return range(min(len(place.call().units), place.size - 1 - place.here.counted) + 1)
        case LastCall():
            return range(len(place.call().units) + 1)
        case Asking(look):
            return range(look.largest + 1)
        case _:
            return range(0)


def is_an_answer(place: Place, mode: Mode, event: Event) -> bool:
    """The number of the event is one of `answers`; none counts as 0."""
    return (event.number or 0) in answers(place, mode)


def can_be_read(place: Place, mode: Mode, event: Event) -> bool:
    """In this job shafts are read aloud, and the loom has all those of the event."""
    reads = place.course.job.manner is Manner.READ
    return reads and all(shaft in answers(place, mode) for shaft in event.row)


# A call is out, or all are called.


@rule(always)
def say_again(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place)


@rule(always)
def call_done(place: Place, mode: Calling, event: Event) -> Done:
    match place.course.job.manner:
        case Manner.READ:
            return _read_to_the_end(place, mode)
        case Manner.STEADY if event.by != Origin.CLOCK:
            return _differs(place)
    after = place.acknowledge()
    if place.course.job.manner is Manner.STEADY and isinstance(after.mode, Closing):
        return _checked(after)
    return asks(after)


def _differs(place: Place) -> Done:
    """The ends ran out inside a group, or something in it is not as called: how far was it right?"""
    return asks(place.close(place.here.counted, GroupState.OFF).to(Partway()), Sound(Tone.OFF))


@rule(lambda place, mode, event: not place.at_the_beginning())
def call_before(place: Place, mode: Calling, event: Event) -> Done:
    if place.here.counted:
        return asks(place.step_back(mode.asked))
    return _reopen(place, place.group - 1)


@rule(always)
def last_call(place: Place, mode: Closing, event: Event) -> Done:
    return asks(place.step_back(mode.asked))


def _reopen(place: Place, group: int) -> Done:
    after = place.reopen(group)
    return asks(after, Tell("reopened", group=after.name))


@rule(always)
def open_again(place: Place, mode: Mode, event: Event) -> Done:
    return _reopen(place, place.group)


@rule(always)
def used_up(place: Place, mode: Calling, event: Event) -> Done:
    """With the last call out it may have come out even; before that it is short."""
    if place.course.job.manner is Manner.READ or (event.as_before and closes(place, mode, event)):
        return call_done.does(place, mode, event)
    return asks(place.to(LastCall())) if closes(place, mode, event) else _differs(place)


@rule(always)
def uneven_at_call(place: Place, mode: Calling | LastCall, event: Event) -> Done:
    if closes(place, mode, event):
        return asks(place.acknowledge().to(Which()))
    return used_up.does(place, mode, event)


@rule(closes)
def count_at_call(place: Place, mode: Calling | LastCall, event: Event) -> Done:
    """Short or over said while the last call is out closes the group."""
    return _how_many(place.acknowledge(), event)


@rule(always)
def last_call_done(place: Place, mode: LastCall, event: Event) -> Done:
    return asks(place.acknowledge())


@rule(is_an_answer)
def part_of_last_call(place: Place, mode: LastCall, event: Event) -> Done:
    """The ends are used up: where all of the call are threaded, the group has come out even."""
    threaded = event.number or 0
    if threaded == len(place.call().units):
        return _checked(place.acknowledge())
    return asks(_run_out(place.close(place.here.counted, GroupState.OFF), threaded), Sound(Tone.OFF))


def _run_out(place: Place, threaded: int) -> Place:
    """The group in hand is off after so many ends of its call."""
    return place.count(replace(place.here, counted=place.here.counted + threaded), mode=Off())


@rule(always)
def back_to_call(place: Place, mode: LastCall, event: Event) -> Done:
    return asks(place.to(Calling()))


@rule(can_be_read)
def row_read(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """Shafts were read aloud: on in silence while they are as expected."""
    return _judged(place, mode, *(mode.reading or place.begin_reading()).hear(event.row))


@rule(lambda place, mode, event: can_be_read(place, mode, event) and is_an_answer(place, mode, event))
def number_read(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """A number typed, or said on its own, where rows are read."""
    return row_read.does(place, mode, replace(event, row=(event.number or 0,)))


def _read_to_the_end(place: Place, mode: Calling | Closing) -> Done:
    """The weaver finds no further end in the group."""
    return _judged(place, mode, *(mode.reading or place.begin_reading()).finish())


def _judged(place: Place, mode: Calling | Closing, reading: Reading, outcome: Good | AskAgain | Difference) -> Done:
    after = place.confirm(reading, mode.asked)
    match outcome, after.mode:
        case Good(), _:
            return _checked(after) if reading.checked else (after, [])
        case AskAgain(), Calling(asked=asked) | Closing(asked=asked) if asked < MOST_ASKED:
            name = "read one again" if outcome.first == outcome.last else "read again"
            return after, [Sound(Tone.UNCLEAR), Tell(name, first=outcome.first, last=outcome.last)]
        case _:
            return asks(after.differs_from(outcome), Sound(Tone.OFF))


def _checked(place: Place) -> Done:
    return asks(place.close(place.size, GroupState.EVEN).go_on(), Sound(Tone.EVEN))


# Did they come out even?


@rule(always)
def even(place: Place, mode: Closing, event: Event) -> Done:
    return _read_to_the_end(place, mode) if place.course.job.manner is Manner.READ else _checked(place)


@rule(counts)
def short_or_over(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Which()))


@rule(is_an_answer)
def which(place: Place, mode: Which, event: Event) -> Done:
    return asks(place.to(Counting(event.number == SHORT)))


@rule(counts)
def how_many(place: Place, mode: Mode, event: Event) -> Done:
    return _how_many(place, event)


def _how_many(place: Place, event: Event) -> Done:
    """Ask for the number, unless it was said with it."""
    counting = Counting(event.kind is Kind.SHORT)
    after = place.to(counting)
    return asks(after) if event.number not in answers(place, counting) else counted.does(after, counting, event)


@rule(is_an_answer)
def counted(place: Place, mode: Counting, event: Event) -> Done:
    if not event.number:
        return asks(place.to(Closing()))
    off = place.close(place.size - event.number, GroupState.OFF) if mode.missing else place.close_over(event.number)
    return asks(off.to(Off()), Sound(Tone.OFF))


@rule(always)
def ask_even(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Closing()))


# A count is off.


@rule(is_an_answer)
def part_of_call(place: Place, mode: Partway, event: Event) -> Done:
    """The ends ran out inside a call: the number says how many of its ends were threaded."""
    return asks(_run_out(place, event.number or 0))


@rule(always)
def no_part(place: Place, mode: Partway, event: Event) -> Done:
    return asks(place.to(Off()))


@rule(always)
def left_off(place: Place, mode: Off, event: Event) -> Done:
    return asks(place.go_on())


@heard_first
@rule(always)
def do_again(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.restart())


@heard_first
@rule(always)
def settle(place: Place, mode: Mode, event: Event) -> Done:
    return _settled(place)


def _settled(place: Place) -> Done:
    after = place.settle()
    return asks(after.go_on(), *settled(after))


def _anything_off(place: Place, mode: Complete, event: Event) -> bool:
    return place.first_off is not None


def _at_first_off(place: Place) -> Place:
    return replace(place, group=place.group if place.first_off is None else place.first_off)


@heard_first
@rule(_anything_off)
def redo_off(place: Place, mode: Complete, event: Event) -> Done:
    return asks(_at_first_off(place).restart())


@heard_first
@rule(_anything_off)
def settle_off(place: Place, mode: Complete, event: Event) -> Done:
    return _settled(_at_first_off(place))


@rule(always)
def sure(place: Place, mode: Sure, event: Event) -> Done:
    """It is meant: as if it had been done by hand."""
    back = replace(place, mode=mode.back, group=mode.group)
    meant = replace(event, kind=mode.kind, source="")
    found = find_rule(mode.back, mode.kind)
    return found.does(back, mode.back, meant) if found else asks(back)


said_twice = Rule(sure.does, lambda place, mode, event: mode.kind is event.kind)


@rule(always)
def not_meant(place: Place, mode: Sure, event: Event) -> Done:
    return asks(replace(place, mode=mode.back, group=mode.group))


# Looking for the mistake.


@rule(lambda place, mode, event: place.can_look)
def look(place: Place, mode: Mode, event: Event) -> Done:
    """Look for the mistake in the group in hand."""
    return _looked(place, place.begin_look())


@rule(_anything_off)
def look_off(place: Place, mode: Complete, event: Event) -> Done:
    """To the first group off, and look for its mistake in a job that has a way to."""
    there = _at_first_off(place)
    return _looked(there, there.begin_look()) if there.can_look else asks(there)


@rule(always)
def look_or_redo(place: Place, mode: Off, event: Event) -> Done:
    """One gesture of the foot: look for the mistake where that can be, else do the group again."""
    looks = place.can_look and not event.source.endswith(NOT_LOOKED_FOR)
    return (look if looks else do_again).does(place, mode, event)


def _looked(place: Place, look: Look) -> Done:
    """Ask on, or say what came out."""
    verdict = look.verdict
    if verdict is None:
        return asks(place.to(Asking(look)))
    if verdict.outcome is Outcome.FOUND:
        return asks(place.to(Found(look)), Sound(Tone.EVEN))
    return asks(place.to(Off()), Tell("not found", group=place.name))


@rule(is_an_answer)
def answered(place: Place, mode: Asking, event: Event) -> Done:
    return _looked(place, mode.look.number(event.number or 0))


@rule(lambda place, mode, event: bool(mode.look.told))
def all_told(place: Place, mode: Asking, event: Event) -> Done:
    """The end asked about is on no further shaft."""
    return _looked(place, mode.look.no_more())


def _of_heddles(look: Look) -> bool:
    return look.question is not None and look.question.ask is Ask.HEDDLES


@rule(always)
def unsure(place: Place, mode: Asking, event: Event) -> Done:
    known = replace(place, heddles_counted=place.heddles_counted and not _of_heddles(mode.look))
    return _looked(known, mode.look.not_sure())


@rule(lambda place, mode, event: _of_heddles(mode.look))
def heddles_lack(place: Place, mode: Asking, event: Event) -> Done:
    lacking = mode.look.lacking()
    if event.number is None or event.number not in answers(place, mode):
        return asks(place.to(Asking(lacking)))
    return _looked(place, lacking.number(event.number))


@rule(always)
def question_before(place: Place, mode: Asking | Found, event: Event) -> Done:
    before = mode.look.back()
    return asks(place.to(Off())) if before is None else _looked(place, before)


@rule(always)
def set_right(place: Place, mode: Found, event: Event) -> Done:
    """The weaver does what was said; where only the count was wrong, the group is settled."""
    hypothesis = mode.look.verdict and mode.look.verdict.hypothesis
    if not hypothesis or hypothesis.repair.way is Way.NOTHING:
        return _settled(place)
    return asks(place.set_right(hypothesis.repair))


# Whatever is asked.


@rule(always)
def pause(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Paused(mode)))


@rule(always)
def wake(place: Place, mode: Paused, event: Event) -> Done:
    return asks(place.to(mode.back))


@rule(always)
def wake_and_act(place: Place, mode: Paused, event: Event) -> Done:
    woken, found = place.to(mode.back), find_rule(mode.back, event.kind)
    return found.does(woken, mode.back, event) if found and found.means(woken, mode.back, event) else asks(woken)


@rule(always)
def where(place: Place, mode: Mode, event: Event) -> Done:
    return place, [whereabouts]


@rule(always)
def mark(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place, marked(place))


@rule(always)
def unclear(place: Place, mode: Mode, event: Event) -> Done:
    return place, [Sound(Tone.UNCLEAR)]


@rule(always)
def no_move(place: Place, mode: Mode, event: Event) -> Done:
    return place, []


@rule(always)
def sit_down(place: Place, mode: Mode, event: Event) -> Done:
    woken = place.to(mode.back) if isinstance(mode, Paused) else place
    cut = woken.cut_calls(event.number) if event.number else woken
    told = replace(cut, sittings=cut.sittings + 1, alike=cut.alike if event.alike is None else event.alike)
    return asks(told, welcome)


@rule(always)
def leave(place: Place, mode: Mode, event: Event) -> Done:
    return place, [saved(place), Stop()]


def _turned(knob: Knob, notches: int) -> Rule:
    return Rule(lambda place, mode, event: asks(place, Adjust(knob, notches)), always)


EVERYWHERE: dict[Kind, Rule] = {
    Kind.REPEAT: say_again,
    Kind.WHERE: where,
    Kind.LOUDER: _turned(Knob.VOLUME, 1),
    Kind.QUIETER: _turned(Knob.VOLUME, -1),
    Kind.FASTER: _turned(Knob.SPEED, 1),
    Kind.SLOWER: _turned(Knob.SPEED, -1),
    Kind.NOTE: mark,
    Kind.UNCLEAR: unclear,
    Kind.SIT_DOWN: sit_down,
    Kind.LEAVE: leave,
    Kind.CLOCK_SET: no_move,
    Kind.SLEPT: no_move,
}


def _in(*modes: type[Mode], do: Rule) -> dict[type[Mode], Rule]:
    return dict.fromkeys(modes, do)


# The rest, each pair that means something once; a pair that is not here means nothing.
TABLE: dict[Kind, dict[type[Mode], Rule]] = {
    Kind.NEXT: {
        Calling: call_done, Closing: even, Partway: no_part, LastCall: last_call_done, Off: left_off, Asking: all_told,
        Found: set_right, Sure: sure, Paused: wake, Complete: leave,
    },
    Kind.BACK: {
        Calling: call_before, Closing: last_call, Which: ask_even, Counting: ask_even, Partway: no_part,
        LastCall: back_to_call, **_in(Off, Complete, do=open_again), **_in(Asking, Found, do=question_before),
        Sure: not_meant,
    },
    Kind.FINISHED: {Calling: used_up, LastCall: say_again, Closing: even, Paused: wake_and_act},
    Kind.UNEVEN: {
        **_in(Calling, LastCall, do=uneven_at_call), Closing: short_or_over, Which: say_again,
        **_in(Partway, Found, do=do_again), Off: look_or_redo, Sure: said_twice, Paused: wake_and_act,
        Complete: redo_off,
    },
    Kind.SHORT: {
        **_in(Calling, LastCall, do=count_at_call), **_in(Closing, Which, Counting, do=how_many), Asking: heddles_lack,
    },
    Kind.OVER: {**_in(Calling, LastCall, do=count_at_call), **_in(Closing, Which, Counting, do=how_many)},
    Kind.NUMBER: {
        **_in(Calling, Closing, do=number_read), Which: which, Counting: counted, Partway: part_of_call,
        LastCall: part_of_last_call, Asking: answered,
    },
    Kind.READ: _in(Calling, Closing, do=row_read),
    Kind.REDO: {**_in(Partway, Off, Asking, Found, do=do_again), Sure: said_twice, Complete: redo_off},
    Kind.FIND: {**_in(Partway, Off, Found, do=look), Asking: say_again, Complete: look_off},
    Kind.UNSURE: {Asking: unsure, Sure: not_meant},
    Kind.SETTLE: {**_in(Partway, Off, Asking, Found, do=settle), Sure: said_twice, Complete: settle_off},
    Kind.HEDDLE_LEFT: {},
    Kind.HEDDLE_MISSING: {},
    Kind.PASS_ON: {},
    Kind.GO_TO: {},
    Kind.PAUSE: {**_in(*(mode for mode in MODES if mode not in (Paused, Complete)), do=pause), Paused: wake},
    Kind.RESUME: {**_in(*(mode for mode in MODES if mode is not Paused), do=say_again), Paused: wake},
}  # fmt: skip


def find_rule(mode: Mode, kind: Kind) -> Rule | None:
    """The rule for an event in a mode; None where the event means nothing whatever the place."""
    return EVERYWHERE.get(kind) or TABLE[kind].get(type(mode))


def meant(place: Place, event: Event) -> Rule | None:
    """The rule for an event at a place; None where it means nothing there."""
    found = find_rule(place.mode, event.kind)
    return found if found and found.means(place, place.mode, event) else None


def follow(place: Place, event: Event) -> Done:
    """What an event does at a place."""
    found = meant(place, event)
    return found.does(place, place.mode, event) if found else not_now(place, place.mode, event)


def offers(place: Place) -> tuple[Kind, ...]:
    """The events that mean something at a place; a number there is any of `answers`."""
    return tuple(kind for kind in Kind if any(meant(place, event) for event in _examples(place, kind)))


def _examples(place: Place, kind: Kind) -> Iterable[Event]:
    """Events of a kind that tell whether any means something."""
    if kind is not Kind.NUMBER:
        return (Event(kind, 0.0),)
    return (Event(kind, 0.0, number) for number in answers(place, place.mode)[:1])

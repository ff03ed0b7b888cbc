"""What each event does in each mode: the rules, and below them the whole table.

A rule takes a place, its mode and an event, and returns the place after it with what the helper does about it. Its
guard says whether the event means something there; what is offered asks the same guard. Everything that moves a
session happens here, and nothing here knows a language.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from assistant.finder import Ask, Look, Outcome, Question, Repair, Way
from assistant.meaning import Tell
from assistant.readback import NO_HEDDLE, AskAgain, Difference, Good, Reading, TypedShaft
from assistant.session.events import (
    NOT_ASKED,
    NOT_LOOKED_FOR,
    SHAFTS_ALONE,
    About,
    Adjust,
    Effect,
    Event,
    Kind,
    Knob,
    Origin,
    Sound,
    Stop,
    Tone,
)
from assistant.session.modes import (
    MODES,
    Asking,
    Calling,
    Closing,
    Complete,
    Counting,
    Found,
    Going,
    Heddles,
    LastCall,
    Looking,
    Mode,
    Off,
    Partway,
    Passing,
    Paused,
    Sure,
    There,
    Which,
)
from assistant.session.place import Place
from assistant.session.telling import (
    back_in,
    call_there,
    marked,
    passed_on,
    prompt,
    read_again,
    saved,
    settled,
    welcome,
    whereabouts,
    whereabouts_there,
)
from assistant.session.view import GroupState
from assistant.warp.passes import Manner

SHORT, OVER = 1, 2  # the numbers that answer "short or over?"
ALL, FEWER = 1, 2  # and whether all ends of a group are threaded
MOST_PASSED_ON = 9  # ends; more is no slip of a bundle
MOST_OVER = 999  # ends left over that anyone would count
MOST_ASKED = 5  # times the same ends are asked for again before the weaver is sent to look
TYPED_ON = 1.0  # seconds: a key sooner after an end was asked for again was pressed before that was heard: assumption

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


def _or(rule: Rule, other: Rule) -> Rule:
    """The first, where it means something; else the other."""
    return Rule(
        lambda place, mode, event: (rule if rule.means(place, mode, event) else other).does(place, mode, event),
        lambda place, mode, event: rule.means(place, mode, event) or other.means(place, mode, event),
    )


def _if(means: Guard, rule: Rule) -> Rule:
    """The same, where this holds too."""
    return Rule(rule.does, lambda place, mode, event: means(place, mode, event) and rule.means(place, mode, event))


def rule(means: Guard) -> Callable[[Does], Rule]:
    """Make a rule of a function, with this guard."""
    return lambda does: Rule(does, means)


def heard_first(rule: Rule) -> Rule:
    """The same, but where it was only heard it is asked first whether it is meant."""

    def does(place: Place, mode: Mode, event: Event) -> Done:
        if event.by != Origin.VOICE or NOT_ASKED in event.source:
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
    why: list[Tell] = []
    if event.kind is Kind.BACK and isinstance(mode, Calling):
        why = [Tell("first call")]
    if event.kind is Kind.PASS_ON and isinstance(mode, Off) and not place.can_pass_on:
        why = [Tell("none to pass on to", group=place.name)]
    return asks(place, Sound(Tone.UNCLEAR), *why)


def gone_on(place: Place, *before: Effect | Telling) -> Done:
    """The group in hand is closed: on, or back to where another was left for it."""
    after = place.go_on()
    return asks(after, *before, *([back_in] if place.home and not after.home else []))


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
        case Heddles(shaft=0):
            return range(1, place.course.warp.loom.shafts + 1)
        case Heddles():
            return range(place.size + 1)
        case Passing():
            return range(ALL, FEWER + 1)
        case Going():
            return range(1, len(place.groups) + 1)
        case Asking(look):
            return range(look.largest + 1)
        case Found(look) if len(look.choices) > 1:
            return range(1, len(look.choices) + 1)
        case _:
            return range(0)


def is_an_answer(place: Place, mode: Mode, event: Event) -> bool:
    """The number of the event is one of `answers`; none counts as 0."""
    return (event.number or 0) in answers(place, mode)


def can_be_read(place: Place, mode: Mode, event: Event) -> bool:
    """In this job shafts are read aloud, and the loom has all those of the event."""
    reads = place.course.job.manner is Manner.READ
    no_heddle = (NO_HEDDLE,) if by_hand(event) else ()
    return reads and all(shaft in answers(place, mode) or shaft in no_heddle for shaft in event.row)


def by_hand(event: Event) -> bool:
    """It was typed or touched, so that a number in it is what it says."""
    return event.by in (Origin.KEY, Origin.PAGE) and not event.as_before


# A call is out, or all are called.


@rule(always)
def say_again(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place)


@rule(always)
def call_done(place: Place, mode: Calling, event: Event) -> Done:
    match place.course.job.manner:
        case Manner.READ:
            return _read_to_the_end(place, mode, event)
        case Manner.STEADY:
            return _as_called(place, event)
    return asks(place.acknowledge())


def _as_called(place: Place, event: Event) -> Done:
    """The clock has moved on, or the weaver has, who is ahead of it: her haste is not the pace."""
    by_clock = event.by == Origin.CLOCK
    if event.as_before and not by_clock:
        return _differs(place)
    after = place.acknowledge()
    paced = after if by_clock else replace(after, paced=place.paced)
    return _checked(paced) if isinstance(paced.mode, Closing) else asks(paced)


def _differs(place: Place) -> Done:
    """The ends ran out inside a group, or something in it is not as called: how far was it right?"""
    return asks(place.close(place.here.counted, GroupState.OFF).to(Partway()), Sound(Tone.OFF))


def _in_it(place: Place, mode: Mode, event: Event) -> bool:
    """Something of the group in hand is done."""
    return place.here.counted > 0


def _can_look_so_far(place: Place, mode: Mode, event: Event) -> bool:
    """What hangs is as it was called, as far as is known: no repair is under way."""
    return place.can_look and _in_it(place, mode, event) and not place.here.redo_to


@rule(lambda place, mode, event: place.course.job.manner is Manner.STEADY or _can_look_so_far(place, mode, event))
def mistake_at_call(place: Place, mode: Calling, event: Event) -> Done:
    """Look for it in what was called before; in a check by listening, it is what is called now that differs."""
    if place.course.job.manner is Manner.STEADY:
        return _differs(place)
    return _looked(place, place.begin_look(), Calling(), Tell("look among", group=place.name, last=place.hanging))


@rule(lambda place, mode, event: not place.at_the_beginning() or _taken_back(place, mode, event) is not None)
def call_before(place: Place, mode: Calling, event: Event) -> Done:
    if before := _taken_back(place, mode, event):
        return asks(before)
    if place.here.counted:
        return asks(place.step_back(mode.asked))
    if place.home:
        return asks(place.visit(place.group))
    return _reopen(place, place.group - 1, event)


@rule(always)
def last_call(place: Place, mode: Closing, event: Event) -> Done:
    return asks(_taken_back(place, mode, event) or place.step_back(mode.asked))


def _taken_back(place: Place, mode: Calling | Closing, event: Event) -> Place | None:
    """Without what was read and is not settled, or, by hand, without the end read last; None where neither is."""
    if place.course.job.manner is not Manner.READ or event.as_before:
        return None
    reading = _reading(place, mode, event)
    if not reading.unsettled and not (by_hand(event) and reading.confirmed):
        return None
    return place.confirm(reading.back(reading.confirmed + reading.unsettled))


def _reopen(place: Place, group: int, event: Event) -> Done:
    """Where the last call closes a group, it is opened at that call."""
    after = place.reopen(group)
    steady = place.course.job.manner is Manner.STEADY and not event.as_before
    there = after.step_back() if steady and isinstance(after.mode, Closing) else after
    return asks(there, Tell("reopened", group=there.name))


@rule(always)
def open_again(place: Place, mode: Mode, event: Event) -> Done:
    return _reopen(place, place.group, event)


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
    """Shafts were read: on in silence while they are as expected."""
    if by_hand(event):
        return _typed(place, mode, event)
    return _judged(place, mode, event, *_reading(place, mode, event).hear(event.row))


@rule(lambda place, mode, event: can_be_read(place, mode, _as_row(event)))
def number_read(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """A number typed, or said on its own, where rows are read."""
    return row_read.does(place, mode, _as_row(event))


def _as_row(event: Event) -> Event:
    return replace(event, row=(event.number or 0,))


def _reading(place: Place, mode: Any, event: Event) -> Reading:
    return replace(mode.reading or place.begin_reading(), as_before=event.as_before)


def _typed(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """End by end, up to one that is asked for again; what is typed on before that was heard is not taken."""
    worked = place.worked
    if mode.again and worked.last < TYPED_ON and not worked.away:
        return place, [Sound(Tone.UNCLEAR)]
    done: Done = place, []
    for shaft in event.row:
        here = done[0]
        done = _judged(here, here.mode, event, *_reading(here, here.mode, event).hear([TypedShaft(shaft)]))
        if any(isinstance(effect, Sound) for effect in done[1]):
            break
    return done


def _read_to_the_end(place: Place, mode: Calling | Closing, event: Event) -> Done:
    """The weaver finds no further end in the group."""
    reading = _reading(place, mode, event)
    if event.by == Origin.PEDAL and not (event.as_before or reading.confirmed or reading.unsettled):
        return asks(place, Sound(Tone.UNCLEAR), Tell("names no shaft"))
    return _judged(place, mode, event, *reading.finish())


def _judged(place: Place, mode: Any, event: Event, reading: Reading, outcome: Good | AskAgain | Difference) -> Done:
    if reading.begun:
        return place.to(replace(mode, reading=reading, again=None)), []
    on_the_way = by_hand(event) and event.row and reading.confirmed > place.here.counted
    again = outcome if isinstance(outcome, AskAgain) and not on_the_way else None
    after = place.confirm(reading, mode.asked, again)
    match outcome, after.mode:
        case Good(), _ if reading.checked and (isinstance(mode, Closing) or SHAFTS_ALONE in event.source):
            return _checked(after)
        case Good(), Closing():
            return asks(after)
        case Good(), _:
            return after, []
        case AskAgain(), Calling(asked=asked) | Closing(asked=asked) if asked < MOST_ASKED:
            return after, [Sound(Tone.UNCLEAR), read_again(reading)] if again else []
        case _:
            return asks(after.differs_from(outcome), Sound(Tone.OFF))


def _checked(place: Place) -> Done:
    return gone_on(place.close(place.size, GroupState.EVEN), Sound(Tone.EVEN))


# Did they come out even?


@rule(always)
def even(place: Place, mode: Closing, event: Event) -> Done:
    return _read_to_the_end(place, mode, event) if place.course.job.manner is Manner.READ else _checked(place)


@rule(counts)
def short_or_over(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.to(Which()))


def _lie_is_asked(place: Place, mode: Mode, event: Event) -> bool:
    """All shafts of the group in hand were read; how its ends lie shows in none."""
    return place.course.job.manner is Manner.READ and SHAFTS_ALONE not in event.source


@rule(_lie_is_asked)
def lies_otherwise(place: Place, mode: Closing, event: Event) -> Done:
    """Ends cross, share an eye or have another colour."""
    return asks(place.close(place.size, GroupState.OFF).to(Off()), Sound(Tone.OFF))


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
    if place.course.ends_in and not event.as_before:
        off = place.close_in(-event.number if mode.missing else event.number)
    elif mode.missing:
        off = place.close(place.size - event.number, GroupState.OFF)
    else:
        off = place.close_over(event.number)
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
    """The group stays marked."""
    return asks(place) if event.kind is Kind.RESUME and event.as_before else gone_on(place)


def _as_before(rule: Rule) -> Rule:
    """The same, but only in a record from when the event meant that: "next" does not dismiss an alarm."""
    return _if(lambda place, mode, event: event.as_before, rule)


def _since(rule: Rule) -> Rule:
    """The same, but not in a record from when the event meant nothing there."""
    return _if(lambda place, mode, event: not event.as_before, rule)


@heard_first
@rule(always)
def do_again(place: Place, mode: Mode, event: Event) -> Done:
    return asks(place.restart())


@heard_first
@rule(lambda place, mode, event: place.here.state is GroupState.OFF)
def settle(place: Place, mode: Mode, event: Event) -> Done:
    return _settled(place)


def _settled(place: Place) -> Done:
    after = place.settle()
    return gone_on(after, *settled(after))


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
    match mode:
        case Closing() | There():
            back: Mode = mode
        case Asking() | Found():
            back = mode.back
        case _:
            back = Off()
    return _looked(place, place.begin_look(event.as_before), back)


@rule(_anything_off)
def look_off(place: Place, mode: Complete, event: Event) -> Done:
    """To the first group off, and look for its mistake in a job that has a way to."""
    there = _at_first_off(place)
    return _looked(there, there.begin_look(event.as_before), Off()) if there.can_look else asks(there)


@rule(always)
def look_or_redo(place: Place, mode: Off, event: Event) -> Done:
    """One gesture of the foot: look for the mistake where that can be, else do the group again."""
    looks = place.can_look and NOT_LOOKED_FOR not in event.source
    return (look if looks else do_again).does(place, mode, event)


def _looked(place: Place, look: Look, back: Mode, *before: Effect | Telling) -> Done:
    """What comes of it is worked out by `come_of`, once it is wanted; the search was begun in the mode `back`."""
    return place.to(Looking(look, back)), list(before)


def come_of(place: Place) -> Done:
    """Where a search was begun, or was told something: ask on, or say what came out."""
    if not isinstance(place.mode, Looking):
        return place, []
    look, back = place.mode.look.asking(None), place.mode.back
    verdict = look.verdict
    if verdict is None:
        return asks(place.to(Asking(look, back)))
    if verdict.outcome is Outcome.FOUND:
        return asks(place.to(Found(look, back)), Sound(Tone.EVEN))
    return asks(_in_vain(place, back), Tell("not found", group=place.name))


def _in_vain(place: Place, back: Mode) -> Place:
    """A search that was begun in the mode `back` led to nothing."""
    return place.to(Off(searched=True) if isinstance(back, Off) else back)


def about(mode: Mode, event: Event) -> About | None:
    """What of a search an event finds in this mode, or chooses by its number; it is kept with the event."""
    match mode:
        case Asking(look):
            return look.question
        case Found(look, chosen=chosen):
            number = (event.number or 0) - 1 if event.kind is Kind.NUMBER else chosen or 0
            return look.choices[number].repair if 0 <= number < len(look.choices) else None
        case Off(searched=True):
            return Outcome.UNDECIDED
        case _:
            return None


def as_it_stood(place: Place, event: Event) -> Place:
    """The place an event found: what of a search is kept with it counts, whatever would be asked or found now."""
    if not isinstance(place.mode, Looking | Asking | Found):
        return place
    look, back = place.mode.look, place.mode.back
    match event.about:
        case Question() if look.can_ask(event.about):
            return place.to(Asking(look.asking(event.about), back))
        case Repair(way, first, _, threaded) if way is Way.NOTHING or 0 < first <= first + threaded <= place.size + 1:
            return place if isinstance(place.mode, Found) else place.to(Found(look, back))
        case Outcome():
            return _in_vain(place, back)
        case _:
            return come_of(place)[0]


def taken_up(place: Place) -> Place:
    """The place after past events: a search under way goes on from what it was told, whatever was asked next then."""
    match place.mode:
        case Paused(back):
            woken = taken_up(place.to(back))
            return woken.to(Paused(woken.mode))
        case Sure(kind, back, group):
            before = taken_up(place.to(back))
            return before.to(Sure(kind, before.mode, group))
        case Found(look, back, chosen):
            again = come_of(place.to(Looking(look, back)))[0]
            return again.to(replace(again.mode, chosen=chosen)) if isinstance(again.mode, Found) else again
        case Asking(look, back) | Looking(look, back):
            return come_of(place.to(Looking(look, back)))[0]
        case _:
            return place


@rule(is_an_answer)
def answered(place: Place, mode: Asking, event: Event) -> Done:
    return _looked(place, mode.look.number(event.number or 0), mode.back)


def _of_all(look: Look) -> bool:
    return look.question is not None and look.question.ask is Ask.RIGHT_UP_TO


@rule(lambda place, mode, event: bool(mode.look.told) or _of_all(mode.look))
def all_told(place: Place, mode: Asking, event: Event) -> Done:
    """The end asked about is on no further shaft."""
    right = mode.look.right_so_far(True) if _of_all(mode.look) else mode.look.no_more()
    return _looked(place, right, mode.back)


@rule(always)
def not_right(place: Place, mode: Asking, event: Event) -> Done:
    """A mistake among the ends asked about; asked about anything else, the question again."""
    return _looked(place, mode.look.right_so_far(False), mode.back) if _of_all(mode.look) else asks(place)


def _of_heddles(look: Look) -> bool:
    return look.question is not None and look.question.ask is Ask.HEDDLES


@rule(always)
def unsure(place: Place, mode: Asking, event: Event) -> Done:
    known = replace(place, heddles_counted=place.heddles_counted and not _of_heddles(mode.look))
    return _looked(known, mode.look.not_sure(), mode.back)


@rule(lambda place, mode, event: _of_heddles(mode.look))
def heddles_lack(place: Place, mode: Asking, event: Event) -> Done:
    lacking = mode.look.lacking()
    if event.number is None or event.number not in answers(place, mode):
        return asks(place.to(Asking(lacking, mode.back)))
    return _looked(place, lacking.number(event.number), mode.back)


@rule(lambda place, mode, event: _of_heddles(mode.look))
def heddles_asked(place: Place, mode: Asking, event: Event) -> Done:
    return asks(place)


@rule(always)
def question_before(place: Place, mode: Asking | Found, event: Event) -> Done:
    before = mode.look.back()
    return asks(place.to(mode.back)) if before is None else _looked(place, before, mode.back)


@rule(lambda place, mode, event: isinstance(event.about, Repair) or is_an_answer(place, mode, event))
def choose(place: Place, mode: Found, event: Event) -> Done:
    """Of the ways to set it right the one of this number is told."""
    return asks(place.to(replace(mode, chosen=(event.number or 0) - 1)))


@rule(always)
def set_right(place: Place, mode: Found, event: Event) -> Done:
    """The weaver does what was said; where only the count was wrong, a group marked off is settled, or left marked."""
    repair = event.about or about(mode, event)
    marked_off = place.here.state is GroupState.OFF
    if not isinstance(repair, Repair) or repair.way is Way.NOTHING:
        return _settled(place) if marked_off else asks(place.to(mode.back))
    if repair.way is Way.LEAVE:
        return left_off.does(place, Off(), event) if marked_off else asks(place.to(mode.back))
    return asks(place.set_right(repair))


# What is off belongs to the next group.


def _passes_on(place: Place, mode: Mode, event: Event) -> bool:
    """A few ends of a bundle are left over or lack, and the next group can take them."""
    few = 0 < abs(place.off_by) <= MOST_PASSED_ON and place.size > abs(place.off_by)
    return place.can_look and few and place.can_pass_on


@rule(_passes_on)
def pass_on(place: Place, mode: Off, event: Event) -> Done:
    """Ends that lack are called in the next group; of those in the hand it is asked whose they are."""
    return asks(place.to(Passing())) if place.here.over else _passed_on(place, place.here.counted)


@rule(is_an_answer)
def threaded(place: Place, mode: Passing, event: Event) -> Done:
    """All ends of the group are threaded, and what is left over are others; or they are its own last ones."""
    return _passed_on(place, place.size if event.number == ALL else place.size - place.here.over)


def _passed_on(place: Place, hanging: int) -> Done:
    after = place.pass_on(hanging)
    return gone_on(after, Sound(Tone.EVEN), passed_on(after))


@rule(always)
def back_to_alarm(place: Place, mode: Passing, event: Event) -> Done:
    return asks(place.to(Off()))


# Another group.


@rule(always)
def go_to(place: Place, mode: Mode, event: Event) -> Done:
    """Ask for its number, unless it was said with it."""
    going = Going(mode)
    there = place.to(going)
    return gone_to.does(there, going, event) if event.number in answers(place, going) else asks(there)


@rule(is_an_answer)
def gone_to(place: Place, mode: Going, event: Event) -> Done:
    after = place.to(mode.back).visit((event.number or 0) - 1)
    return asks(after, whereabouts_there, call_there)


@rule(always)
def stay(place: Place, mode: Going, event: Event) -> Done:
    return asks(place.to(mode.back))


@rule(always)
def next_there(place: Place, mode: There, event: Event) -> Done:
    """The next call of a group that is looked at; after the last one back."""
    after = place.look_on(1)
    return (after, [call_there]) if after else _home(place)


@rule(lambda place, mode, event: place.look_on(-1) is not None)
def before_there(place: Place, mode: There, event: Event) -> Done:
    return place.look_on(-1) or place, [call_there]


def _home(place: Place) -> Done:
    after = place.come_home()
    return asks(after, *([] if after.home else [back_in]))


@rule(always)
def come_back(place: Place, mode: Mode, event: Event) -> Done:
    """Back from another group; else there is nothing to continue."""
    return _home(place) if place.home else asks(place)


@rule(lambda place, mode, event: place.can_look and place.hanging > 0)
def look_there(place: Place, mode: There, event: Event) -> Done:
    """Look for a mistake in a group that is looked at."""
    return look.does(place, mode, event)


# Heddles as a second count.


def _heddles_tell(place: Place, mode: Mode, event: Event) -> bool:
    """Heddles were counted out for this group, so that one left or missing shows a mistake."""
    return place.can_look and place.heddles_counted


@rule(_heddles_tell)
def heddle_off(place: Place, mode: Closing | Which | Off, event: Event) -> Done:
    return _which_heddle(place, mode, event)


@rule(lambda place, mode, event: _heddles_tell(place, mode, event) and closes(place, mode, event))
def heddle_off_at_call(place: Place, mode: Calling | LastCall, event: Event) -> Done:
    """Said while the last call is out."""
    return _which_heddle(place.acknowledge(), Closing(), event)


def _which_heddle(place: Place, back: Mode, event: Event) -> Done:
    told = Heddles(event.kind is Kind.HEDDLE_MISSING, Closing() if isinstance(back, Which) else back)
    within = event.number in range(1, place.size + 1)
    return asks(place.to(replace(told, count=event.number if within and event.number else 0)))


@rule(always)
def heddle_otherwise(place: Place, mode: Heddles, event: Event) -> Done:
    """Left, not missing; or missing, not left."""
    return asks(place.to(replace(mode, missing=event.kind is Kind.HEDDLE_MISSING)))


@rule(is_an_answer)
def heddles_told(place: Place, mode: Heddles, event: Event) -> Done:
    """The shaft, then how many; the search begins with what was seen there."""
    number = event.number or 0
    told = replace(mode, count=number) if mode.shaft else replace(mode, shaft=number)
    if not number:
        return asks(place.to(mode.back))
    if not told.count:
        return asks(place.to(told))
    there = place.to(mode.back)
    seen = {told.shaft: -told.count if told.missing else told.count}
    return _looked(there, there.begin_look(heddles=seen), mode.back)


@rule(always)
def heddle_back(place: Place, mode: Heddles, event: Event) -> Done:
    return asks(place.to(replace(mode, shaft=0) if mode.shaft else mode.back))


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


def _not_begun(place: Place, mode: Mode, event: Event) -> bool:
    """Nobody sat down yet, and so many groups there are."""
    return place.sittings == 0 and not place.done and 0 < (event.number or 0) <= len(place.groups)


@rule(_not_begun)
def begins_after(place: Place, mode: Mode, event: Event) -> Done:
    """The first groups were threaded before the record began."""
    return place.threaded_before(event.number or 0), []


@rule(always)
def heddles_known(place: Place, mode: Mode, event: Event) -> Done:
    """A record says whether heddles were counted out for this warp."""
    return replace(place, heddles_counted=bool(event.number), heddles_recorded=bool(event.number)), []


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
    Kind.THREADED_BEFORE: begins_after,
    Kind.HEDDLES_COUNTED: heddles_known,
    Kind.CLOCK_SET: no_move,
    Kind.SLEPT: no_move,
}


def _in(*modes: type[Mode], do: Rule) -> dict[type[Mode], Rule]:
    return dict.fromkeys(modes, do)


# The rest, each pair that means something once; a pair that is not here means nothing.
TABLE: dict[Kind, dict[type[Mode], Rule]] = {
    Kind.NEXT: {
        Calling: call_done, Closing: even, Partway: _as_before(no_part), LastCall: last_call_done,
        Off: _as_before(left_off), Asking: all_told, Found: set_right, There: next_there,
        Sure: sure, Paused: wake, Complete: leave,
    },
    Kind.BACK: {
        Calling: call_before, Closing: last_call, Which: ask_even, Counting: ask_even, Partway: no_part,
        LastCall: back_to_call, **_in(Off, Complete, do=open_again), **_in(Asking, Found, do=question_before),
        Heddles: heddle_back, Passing: back_to_alarm, Going: stay, There: before_there, Sure: not_meant,
    },
    Kind.FINISHED: {Calling: used_up, LastCall: say_again, Closing: even, Paused: wake_and_act},
    Kind.UNEVEN: {
        **_in(Calling, LastCall, do=uneven_at_call), Closing: _or(short_or_over, lies_otherwise), Which: say_again,
        **_in(Partway, Found, do=do_again), Off: look_or_redo, Sure: said_twice, Paused: wake_and_act,
        Complete: redo_off,
    },
    Kind.SHORT: {
        **_in(Calling, LastCall, do=count_at_call), **_in(Closing, Which, Counting, do=how_many), Asking: heddles_lack,
    },
    Kind.OVER: {**_in(Calling, LastCall, do=count_at_call), **_in(Closing, Which, Counting, do=how_many)},
    Kind.NUMBER: {
        **_in(Calling, Closing, do=number_read), Which: which, Counting: counted, Partway: part_of_call,
        LastCall: part_of_last_call, Heddles: heddles_told, Passing: threaded, Going: gone_to, Asking: answered,
        Found: choose,
    },
    Kind.READ: _in(Calling, Closing, do=row_read),
    Kind.REDO: {
        **_in(Calling, LastCall, Closing, Which, Counting, do=_since(_if(_in_it, do_again))),
        **_in(Partway, Off, Asking, Found, There, do=do_again), Sure: said_twice, Complete: redo_off,
    },
    Kind.FIND: {
        Calling: _since(mistake_at_call), Closing: _since(_or(look, lies_otherwise)),
        **_in(Partway, Off, Found, do=look), There: look_there, Asking: not_right, Complete: look_off,
    },
    Kind.UNSURE: {Asking: unsure, Sure: not_meant},
    Kind.SETTLE: {**_in(Partway, Off, Asking, Found, There, do=settle), Sure: said_twice, Complete: settle_off},
    Kind.HEDDLE_LEFT: {
        **_in(Calling, LastCall, do=heddle_off_at_call), **_in(Closing, Which, Off, do=heddle_off),
        Heddles: heddle_otherwise, Asking: heddles_asked,
    },
    Kind.HEDDLE_MISSING: {
        **_in(Calling, LastCall, do=heddle_off_at_call), **_in(Closing, Which, Off, do=heddle_off),
        Heddles: heddle_otherwise, Asking: heddles_lack,
    },
    Kind.PASS_ON: {Off: pass_on},
    Kind.GO_TO: _in(Calling, Closing, Partway, Off, Asking, Found, There, Complete, do=go_to),
    Kind.PAUSE: {**_in(*(mode for mode in MODES if mode not in (Paused, Complete)), do=pause), Paused: wake},
    Kind.RESUME: {
        **_in(*(mode for mode in MODES if mode not in (Off, Paused)), do=come_back), Off: left_off, Paused: wake,
    },
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

"""What is told of a place: phrases by their keys, with the names and numbers that belong in them. Pure, no language."""

from collections.abc import Iterator
from typing import Any, assert_never

from assistant.finder import Ask, Choice, Hypothesis, Look, Question, Repair, Side, Way
from assistant.finder.heddle import one
from assistant.finder.reed_look import ReedLook
from assistant.meaning import Tell
from assistant.readback import AskAgain, Difference, Reading
from assistant.session import telling_reed
from assistant.session.events import Kind
from assistant.session.modes import (
    AnyLook,
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
    Off,
    Partway,
    Passing,
    Paused,
    Sure,
    There,
    Which,
    search,
)
from assistant.session.place import Course, Place
from assistant.session.view import GroupLine, GroupState
from assistant.warp.model import Edge, Warp
from assistant.warp.notation import Ends
from assistant.warp.passes import Call, Figure, Manner
from assistant.warp.passes.colours import bands, repeated
from assistant.warp.turned import OTHER

MOST_DIGITS = 9  # shafts up to which each digit that is typed is one
TAKEN = 8  # ends read last that are shown
MOST_BANDS = 8  # of colours that one would listen to


def told(course: Course, call: Call[Any]) -> tuple[Tell, ...]:
    """A call: the group where it opens one, then what the pass tells."""
    opening = [] if call.start else [Tell("group", group=course.warp.groups[call.group].name, count=call.of)]
    return (*opening, *(item.tell for item in course.job.tell(course.warp, call)))


def prompt(place: Place) -> tuple[Tell, ...]:
    """What the weaver is waited for to do."""
    return _again(place) or _asked(place)


def _asked(place: Place) -> tuple[Tell, ...]:
    match place.mode:
        case Calling():
            return told(place.course, place.call())
        case Closing():
            return _even(place, place.group)
        case Partway() | LastCall():
            return (*trouble(place), Tell("how far"))
        case Off():
            return (*trouble(place), Tell("what now"))
        case Asking(look) | Looking(look):
            return (*_counted(place.course, look), *question(look, place.course.warp))
        case Found(look, chosen=number):
            return found(look, place.course.warp, number)
        case Paused():
            return (Tell("paused", group=place.name, count=place.done_here),)
        case Complete():
            return _complete(place)
        case There():
            return (Tell("looking on"),)
        case Which() | Counting() | Heddles() | Passing() | Going() | Sure() as asks:
            return (_asked_of(place, asks),)
        case _ as unknown:
            assert_never(unknown)


def _counted(course: Course, look: AnyLook) -> tuple[Tell, ...]:
    """What counts as an end, with the first question, where some heddles hold several."""
    begun = isinstance(look, Look) and not (look.answers or look.told)
    return (Tell("heddles count"),) if begun and course.unit != course.job.unit else ()


def _asked_of(place: Place, asks: Which | Counting | Heddles | Passing | Going | Sure) -> Tell:
    match asks:
        case Which():
            return Tell(f"which{_in_dents(place)}", group=place.name, dent=_dent(place))
        case Counting(missing):
            return Tell(f"how many{_in_dents(place)} {'short' if missing else 'over'}", dent=_dent(place))
        case Heddles(missing, shaft=0):
            return Tell("heddle missing where" if missing else "heddle left where")
        case Heddles(missing, shaft=shaft):
            return Tell("heddles lacking" if missing else "how many heddles left", shaft=shaft)
        case Passing():
            return Tell("all or fewer", group=place.name, expected=place.size, fewer=place.fewer)
        case Going():
            return Tell("which group", groups=len(place.groups))
        case Sure(kind):
            return Tell("sure settle" if kind is Kind.SETTLE else "sure redo", group=place.name)
        case _ as unknown:
            assert_never(unknown)


def read_again(reading: Reading) -> Tell:
    """The ends asked for again."""
    name = "read one again" if reading.next_end == reading.asked else "read again"
    return Tell(name, first=reading.next_end, last=reading.asked)


def _again(place: Place) -> tuple[Tell, ...]:
    """They, and why, while that was just asked; nothing where none is."""
    reading, again = _reading(place), place.mode.again if isinstance(place.mode, Calling | Closing) else None
    if not reading or not reading.asked:
        return ()
    return (read_again(reading), *([Tell(f"why {again.why}", read=_as_typed((again.read,)))] if again else []))


def _reading(place: Place) -> Reading | None:
    return place.mode.reading if isinstance(place.mode, Calling | Closing) else None


def waited_for(place: Place) -> tuple[Tell, ...]:
    """As `prompt`; where a call is shown in figures, what to do with it."""
    if not isinstance(place.mode, Calling) or _again(place):
        return prompt(place)
    if place.course.job.manner is not Manner.READ:
        return (Tell("calling"),)
    return (Tell("calling digits" if place.course.warp.loom.shafts <= MOST_DIGITS else "calling numbers"),)


def taken(place: Place) -> tuple[Tell, ...]:
    """What was read last in the group in hand, where one is read back."""
    if place.course.job.manner is not Manner.READ:
        return ()
    counted = place.here.counted
    ends = place.course.expected(place.group)[max(0, counted - TAKEN) : counted]
    reading = _reading(place)
    return (
        *([Tell("taken", end=counted, read=_as_typed(ends))] if ends else []),
        *([Tell("taken of the next", read=_as_typed((reading.begun,)))] if reading and reading.begun else []),
    )


def _as_typed(ends: Ends) -> str:
    return " ".join("/".join(map(str, end)) for end in ends)


def _even(place: Place, group: int) -> tuple[Tell, ...]:
    name, count = place.course.warp.groups[group].name, place.course.sizes[group]
    if place.course.ends_in:
        return (Tell("even in dent", group=name, count=count, dent=place.course.ends_in[group]),)
    ends = place.course.ends(group)
    if place.course.job.shafts and ends != count:
        even = Tell("even in heddles", group=name, count=count, ends=ends)
    else:
        even = Tell("even", group=name, count=count)
    return (even, *_colours(place.course, group))


def _colours(course: Course, group: int) -> tuple[Tell, ...]:
    """How the colours of a group that is read back should lie; nothing where there is but one yarn."""
    if course.job.manner is not Manner.READ or len(course.warp.yarns) < 2:
        return ()
    lying, times = repeated(bands(course.warp, course.warp.groups[group].ends))
    if len(lying) > MOST_BANDS:
        return (Tell("many colours"),)
    told = tuple(Tell("band", count=band.ends, yarn=band.yarn) for band in lying)
    begun = Tell("colours", side=Tell(f"from {side_of(course.warp, Side.FIRST)}"))
    return (begun, *told, *([Tell("so many times", count=times)] if times > 1 else []))


def _in_dents(place: Place) -> str:
    """What the keys of phrases hold beside, where groups are closed by the dent they end in."""
    return " dents" if place.course.ends_in else ""


def _dent(place: Place) -> int:
    """The dent that the group in hand should end in; 0 where none is known."""
    return place.course.ends_in[place.group] if place.course.ends_in else 0


def _alert(place: Place, difference: Difference | AskAgain | None) -> Tell:
    match difference:
        case AskAgain(first, last):
            return Tell("look at", first=first, last=last)
        case Difference():
            kind = "too many" if not difference.expected else "too few" if not difference.read else "other"
            kind = "no heddle" if difference.read and not any(difference.read) else kind
            return Tell(f"reads {kind}", end=difference.end, expected=difference.expected, read=difference.read)
    if place.course.job.compares and not place.off_by:
        return Tell("lies otherwise", group=place.name)
    if place.here.dents:
        how = "dents short" if place.here.dents < 0 else "dents over"
        return Tell(how, group=place.name, count=abs(place.here.dents), dent=_dent(place))
    if place.here.lacking or (place.course.in_heddles and place.here.over):
        return _off_in_ends(place.name, place.off_by)
    return Tell(
        "short" if place.off_by < 0 else "over",
        group=place.name, counted=place.here.counted, expected=place.size, count=abs(place.off_by),
    )  # fmt: skip


def _off_in_ends(group: str, off_by: int) -> Tell:
    return Tell("over in ends" if off_by > 0 else "short in ends", group=group, count=abs(off_by))


def side_of(warp: Warp, side: Side) -> Edge:
    """The side from which ends are counted, as one sits at the loom: "right" or "left"."""
    return warp.start if side is Side.FIRST else OTHER[warp.start]


def question(look: AnyLook, warp: Warp) -> tuple[Tell, ...]:
    """What is asked in looking for a mistake, and why, where it was answered before; nothing where there is a verdict.

    Ends are counted within the group, as they hang.
    """
    if isinstance(look, ReedLook):
        return telling_reed.question(look)
    asked = look.question
    if asked is None:
        return ()
    again = [] if look.told or look.again is None else [Tell(f"asked again: {look.again}")]
    return (*again, *_question(look, asked, warp))


def _question(look: Look, asked: Question, warp: Warp) -> tuple[Tell, ...]:
    side = side_of(warp, asked.side)
    counted = Tell(f"from {side}")
    match asked.ask:
        case Ask.RIGHT_UP_TO if asked.lacking:
            first = len(look.group.expected) - asked.lacking
            return (Tell("right up to from end", end=asked.end, side=counted, first=first),)
        case Ask.RIGHT_UP_TO:
            return (Tell("right up to", end=asked.end, side=counted),)
        case Ask.COUNT:
            return (Tell("ends on shaft", end=asked.end, shaft=asked.shaft, side=counted),)
        case Ask.HEDDLES:
            return (Tell("heddles lacking" if look.short else "heddles left", shaft=asked.shaft),)
        case Ask.SHAFTS if look.told:
            return (Tell("on which else", shafts=look.told),)
        case Ask.SHAFTS:
            which = Tell("shafts of end" if look.most_shafts > 1 else "shaft of end", end=asked.end, side=counted)
            further = look.search.landmark.further(asked)
            if not further:
                return (which,)
            way = Tell(f"to {OTHER[side] if further > 0 else side}")
            return which, Tell("further", count=abs(further), way=way)


def asked_for(place: Place) -> tuple[Figure, ...]:
    """The ends asked for again in reading back, to be read across the room."""
    reading = _reading(place)
    if not reading or not reading.asked:
        return ()
    first, last = reading.next_end, reading.asked
    caption = Tell("caption: read again") if first == last else Tell("caption: read again up to", end=last)
    return (Figure(f"{first}?", caption),)


def figures(place: Place) -> tuple[Figure, ...]:
    """What is asked, or where the mistake is, to be read across the room; nothing where neither is."""
    match place.mode:
        case Heddles(missing, shaft=shaft) if shaft:
            caption = Tell("caption: heddles missing" if missing else "caption: heddles left")
            return (Figure(f"{shaft}?", caption, shafts=(shaft,)),)
    look = search(place.mode)
    if isinstance(look, ReedLook):
        return telling_reed.figures(look)
    return _figures(look, place.course.warp) if look else ()


def _figures(look: Look, warp: Warp) -> tuple[Figure, ...]:
    asked, verdict = look.question, look.verdict
    if asked is None:
        first = verdict.hypothesis.repair.first if verdict and verdict.hypothesis else 0
        return (Figure(str(first), Tell("caption: from this end on")),) if first else ()
    counted = Tell(f"from {side_of(warp, asked.side)}")
    match asked.ask:
        case Ask.SHAFTS:
            return (Figure(f"{asked.end}?", counted),)
        case Ask.COUNT:
            of_the_first = Tell("caption: of the first ends", side=counted)
            on_it = Figure(str(asked.shaft), Tell("caption: on this shaft"), shafts=(asked.shaft,))
            return on_it, Figure(f"{asked.end}?", of_the_first)
        case Ask.HEDDLES:
            return (Figure(f"{asked.shaft}?", Tell("caption: heddles left"), shafts=(asked.shaft,)),)
        case Ask.RIGHT_UP_TO:
            return (Figure(f"1–{asked.end}?", Tell("caption: right up to", side=counted)),)


def found(look: AnyLook, warp: Warp, number: int | None = None) -> tuple[Tell, ...]:
    """What the mistake was, what sets it right, and what else would; or the choice of this number, from 0, alone.

    Nothing where none was found.
    """
    if isinstance(look, ReedLook):
        return telling_reed.found(look, number)
    verdict, choices = look.verdict, look.choices
    if verdict is None or verdict.hypothesis is None or (number or 0) >= len(choices):
        return ()
    if number is not None:
        return chosen(look, choices[number], warp)
    others = [
        Tell(f"choice: {_way(each.repair)}", number=number, count=each.repair.taken_out)
        for number, each in enumerate(choices[1:], 2)
    ]
    mistake = _mistake(look, verdict.hypothesis, warp)
    floating = sum(look.group.floating) if choices[0].repair.way is Way.NOTHING else 0
    edges = [Tell("floating at the edge", count=floating)] if floating else []
    return mistake, *edges, *chosen(look, choices[0], warp), *([Tell("choice: or")] if others else []), *others


def chosen(look: Look, choice: Choice, warp: Warp) -> tuple[Tell, ...]:
    """What is to be done by one of the choices."""
    repair = choice.repair
    what = Tell(
        f"repair: {_way(repair)}", first=repair.first, count=repair.taken_out, threaded=repair.threaded,
        shafts=one(repair.heddle), side=Tell(f"from {side_of(warp, Side.FIRST)}"),
    )  # fmt: skip
    if repair.way is Way.MOVE:
        ends = (Tell("repair: move end", end=end, shafts=one(look.group.expected[end - 1])) for end in choice.moved)
        return what, *ends, Tell("repair: when done")
    found = look.verdict.hypothesis if look.verdict else None
    to_the_last = repair.first + repair.threaded > len(look.group.expected)
    if repair.way is Way.REDO and found and not found.mistake and not to_the_last:  # any shafts may lack a heddle there
        return Tell("repair: no heddle free"), what
    return (what,)


def _way(repair: Repair) -> str:
    return "new end" if repair.way is Way.REPAIR_HEDDLE and not repair.taken_out else repair.way


def _mistake(look: Look, found: Hypothesis, warp: Warp) -> Tell:
    mistake = found.mistake
    if mistake is None and not found.end:
        return Tell("mistake: none")
    if mistake is None:
        return Tell("mistake: something else", end=found.end, side=Tell(f"from {side_of(warp, Side.FIRST)}"))
    due = look.group.expected[mistake.at - 1 : mistake.at] if mistake.at else ()
    return Tell(
        f"mistake: {mistake.kind}", end=mistake.at, last=mistake.at + mistake.ends - 1, neighbour=mistake.at + 1,
        shafts=one(due[0]) if due else (), found=one(mistake.found), shaft=mistake.shaft,
    )  # fmt: skip


def trouble(place: Place) -> tuple[Tell, ...]:
    """What is wrong in the group in hand, as far as that is known; nothing where nothing is."""
    match place.mode:
        case Partway():
            return (Tell("ran out", group=place.name),)
        case Off(difference):
            return (_alert(place, difference),)
        case Found(Look() as look) if look.verdict and look.verdict.hypothesis:
            return (_mistake(look, look.verdict.hypothesis, place.course.warp),)
        case _:
            return ()


def _complete(place: Place) -> tuple[Tell, ...]:
    lines = place.summary()
    settled = sum(line.state is GroupState.SETTLED for line in lines)
    off = [line for line in lines if line.state is GroupState.OFF]
    parts = [Tell("finished", count=place.course.total, groups=len(lines))]
    parts += [Tell("some settled", count=settled)] if settled else []
    if not off:
        return (*parts, Tell("none off"))
    parts.append(Tell("some off", count=len(off)))
    parts += (_one_off(line, place.course.in_heddles) for line in off)
    return (*parts, Tell("off at finish", group=off[0].name))


def _one_off(line: GroupLine, in_heddles: bool) -> Tell:
    if not line.off_by:
        return Tell("lies otherwise", group=line.name)
    if line.lacking or (in_heddles and line.over):
        return _off_in_ends(line.name, line.off_by)
    how = "over" if line.off_by > 0 else "short"
    how = f"one dents {how}" if line.dents else f"one {how}"
    return Tell(how, group=line.name, counted=line.counted, expected=line.expected, count=abs(line.off_by))


def welcome(place: Place) -> tuple[Tell, ...]:
    """The first words of a sitting: the warp, and the place where it is not the first."""
    title = place.course.warp.title
    if place.sittings == 1:
        return (Tell("welcome", title=title, count=place.course.total, groups=len(place.groups)),)
    return (Tell("welcome back", title=title), *whereabouts(place))


def whereabouts(place: Place) -> tuple[Tell, ...]:
    """The place, the count, and what is left."""
    counted = place.done_here
    if isinstance(place.mode, Calling):
        last = counted + len(place.call().units)
        here = Tell("where", group=place.name, first=counted + 1, last=last, count=place.size)
    else:
        here = Tell("where counted", group=place.name, counted=counted, count=place.size)
    out = [Tell(f"out to the {OTHER[place.course.begins_at(place.group)]}")] if place.course.outward else []
    return (*out, here, Tell("so far", so_far=place.done, total=place.course.total, count=place.left))


def settled(place: Place) -> tuple[Tell, ...]:
    """A group marked off was settled by the weaver's word; what is left over stays in the hand."""
    over = place.here.over
    left = [Tell("left in the hand", count=over)] if over else []
    return (Tell("settled", group=place.name, count=place.done_here), *left)


def passed_on(place: Place) -> Tell:
    """The group in hand was closed as even, and what was off went to the next."""
    here, following = place.here, place.line(place.group + 1)
    return Tell(
        "passed on" if here.moved else "passed on in the hand",
        group=place.name, counted=here.counted, count=here.passed, next=following.name, expected=following.expected,
    )  # fmt: skip


def call_there(place: Place) -> tuple[Tell, ...]:
    """The call of a group that is looked at."""
    assert isinstance(place.mode, There)
    return told(place.course, place.course.call_of(place.group, place.mode.at))


def whereabouts_there(place: Place) -> tuple[Tell, ...]:
    """The group that is looked at, and what is done of it."""
    return (Tell("where counted", group=place.name, counted=place.done_here, count=place.size),)


def back_in(place: Place) -> tuple[Tell, ...]:
    """Where one has come back to from another group."""
    return (Tell("back in", group=place.name, counted=place.done_here, count=place.size),)


def marked(place: Place) -> Tell:
    """A mark was put at this place."""
    return Tell("marked", group=place.name, counted=place.done_here, count=place.size)


def saved(place: Place) -> Tell:
    """The last words of a sitting."""
    if isinstance(place.mode, Complete):
        return Tell("saved finished", title=place.course.warp.title)
    return Tell("saved", group=place.name, counted=place.done_here, count=place.size)


def ahead(place: Place) -> Iterator[Tell]:
    """What will be told from here on if all goes well, in order."""
    before = place.group
    for call in place.calls_ahead():
        if call.start == 0 and call.group > place.group:
            yield from _even(place, before)
        before = call.group
        yield from told(place.course, call)
    yield from _even(place, before)

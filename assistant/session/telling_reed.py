"""What is told in looking for a mistake in the reed: what is asked, and what came out. Phrases by their keys."""

from typing import Any

from assistant.finder import Outcome
from assistant.finder.reed import ReedAsk, ReedQuestion, ReedRepair, ReedVerdict, Resley
from assistant.finder.reed_look import ReedLook
from assistant.finder.sleying import SleyMistake
from assistant.meaning import Tell
from assistant.warp.passes import Figure


def asked_of(look: ReedLook, asked: ReedQuestion) -> tuple[Tell, ...]:
    """A question, and where its dent lies; not how it is answered."""
    first, last = look.before + asked.first, look.before + asked.last
    key = f"reed asks {asked.ask}" if asked.ask is ReedAsk.DENT or last > first else f"reed asks {asked.ask} one"
    what = Tell(key, group=look.group, dent=first, first=first, last=last, held=look.held)
    mark = max((mark for mark in look.sleying.marks if mark < asked.first), default=0)
    if asked.ask is ReedAsk.DENT and mark:
        return what, Tell("reed mark", count=asked.first - mark, mark=look.before + mark)
    return (what,)


def came_out(look: ReedLook, verdict: ReedVerdict) -> tuple[Tell, ...]:
    """What it is, so far as that is known, and what sets it right."""
    repair = verdict.repair
    if repair.way is Resley.NOTHING:
        return (Tell("reed all right", group=look.group),)
    dent, first, last = look.before + repair.dent, repair.first, repair.last
    places: dict[str, Any] = {"group": look.group, "dent": dent, "first": first, "last": last}
    known = [Tell(f"reed found: {repair.mistake}", **places)]
    if verdict.outcome is Outcome.UNDECIDED:
        right = look.before + verdict.right_up_to
        known = [Tell("reed right up to", dent=right)] if verdict.right_up_to else []
    mends = Tell(f"reed mends: {repair.way}", count=last - first + 1, **places)
    ends = look.ends_before + first - 1
    movable = look.from_edge and ends and _from_before(repair)
    instead = [Tell("reed mends: from before", count=ends)] if movable else []
    return (*known, mends, *instead)


def _from_before(repair: ReedRepair) -> bool:
    """The ends before the mistake may move in place of those after it: both sides are right in themselves."""
    return repair.mistake in (SleyMistake.SKIPPED, SleyMistake.DOUBLED)


def question(look: ReedLook) -> tuple[Tell, ...]:
    """What is asked at the loom, and how it is answered there; nothing where there is a verdict."""
    asked = look.question
    if asked is None:
        return ()
    if look.told:
        return (Tell("reed asks on", shafts=look.told),)
    again = [Tell(f"asked again: {look.again}")] if look.again else []
    how = {ReedAsk.DENT: [Tell("reed say shafts")], ReedAsk.ALONG: [Tell("reed say yes")]}.get(asked.ask, [])
    return (*again, *asked_of(look, asked), *how)


def found(look: ReedLook, number: int | None) -> tuple[Tell, ...]:
    """What came out, and the choices; or the choice of this number, from 0, alone."""
    verdict = look.verdict
    if verdict is None or (number or 0) >= len(look.choices):
        return ()
    if number == 1:
        return (Tell("repair: leave"),)
    if verdict.repair.way is Resley.NOTHING:
        return (*came_out(look, verdict), Tell("repair: nothing"))
    others = () if number == 0 else (Tell("choice: or"), Tell("choice: leave", number=2))
    return (*came_out(look, verdict), Tell("reed say when out"), *others)


def figures(look: ReedLook) -> tuple[Figure, ...]:
    """The dents asked about, or where the mistake is, to be read across the room."""
    asked, verdict = look.question, look.verdict
    if asked is None:
        dent = look.before + verdict.repair.dent if verdict and verdict.repair.dent else 0
        return (Figure(str(dent), Tell("caption: dent", first=dent)),) if dent else ()
    first, last = look.before + asked.first, look.before + asked.last
    if first == last:
        return (Figure(f"{first}?", Tell("caption: dent", first=first)),)
    return (Figure(f"{first}–{last}?", Tell("caption: dents", first=first, last=last)),)

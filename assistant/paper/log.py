"""What the log says, what comes next, and notes: records of a warp as lines to read."""

import os
from collections.abc import Iterator, Sequence

from assistant.session.history import Edited, History, OwnPace, Sitting, local
from assistant.session.journal import Record
from assistant.session.kept import KeptRecord
from assistant.session.machine import Session
from assistant.session.upcoming import COME_RIGHT, JobState, Standing, Upcoming
from assistant.session.view import GroupState
from assistant.warp.passes import PASSES
from assistant.words.columns import padded
from assistant.words.printed import Printed, widest

NARROWEST_JOB = 8  # columns


def log(history: History, words: Printed) -> list[str]:
    """One record: a line a group and a sitting, and the pace where one is known."""
    lines = [
        words.text("log", title=history.title, job=words.job(history.job), count=_count(history, words)),
        *words.group_lines(history.groups, PASSES[history.job].compares),
        words.text("sittings are" if history.sittings else "no sitting yet"),
        *_sittings(history, words),
    ]
    if history.weavers:
        lines.extend(_weavers(history, words))
    elif history.pace:
        lines.append(words.text("pace is", pace=_pace(words.decimal(history.pace, 0), history.unit, words)))
    return lines


def also_kept(record: Record, history: History, words: Printed) -> str:
    """A record beside the one that is told."""
    begun = f"{local(record.began):%Y-%m-%d %H:%M}"
    count, job = _count(history, words), words.job(record.job)
    file = file_gone(record, words) or record.file
    return words.text("also kept", title=history.title, file=file, job=job, begun=begun, count=count)


def _weavers(history: History, words: Printed) -> Iterator[str]:
    """How much each weaver did, and her pace where one is known."""
    yield words.text("weavers are")
    for weaver, done in history.weavers.items():
        name, units = weaver or words.text("nobody named"), words.units(history.unit, done)
        pace = history.paces.get(weaver)
        told = words.text("weaver did", weaver=name, count=done, units=units)
        yield f"  {told}, {_pace(words.decimal(pace, 0), history.unit, words)}" if pace else f"  {told}"


def listed(kept: Sequence[KeptRecord], words: Printed) -> Iterator[str]:
    """Each record on a line, by its number."""
    if not kept:
        yield words.text("no record yet")
    wide = widest(str(each.record.id) for each in kept) if kept else 0
    for each in kept:
        record, last = each.record, f"{local(each.last):%Y-%m-%d %H:%M}"
        job, file = words.job(record.job), file_gone(record, words) or record.file
        parts = (
            words.text("record stands", title=each.told.title, job=job, count=_count(each.told, words), last=last)
            if each.told
            else words.text("record unreadable", job=job, last=last),
            words.text("every group is closed") if each.done else "",
            "" if each.current else words.text("record older"),
            file,
        )
        yield f"{record.id:>{wide}}  {'; '.join(filter(None, parts))}"


def file_gone(record: Record, words: Printed) -> str:
    """Where the file of a record is no longer there, that; else ""."""
    return "" if os.path.exists(record.file) else words.text("file gone", file=record.file)


def _count(history: History, words: Printed) -> str:
    return words.counted(history.counted, history.total, history.unit)


def _sittings(history: History, words: Printed) -> Iterator[str]:
    """A line for each and for each edit, and where the clock did not simply go on, a line about that."""
    edits = [*history.edits]
    for before, sitting in zip((None, *history.sittings), history.sittings, strict=False):
        while edits and edits[0].at <= sitting.began:
            yield f"  {_edited(edits.pop(0), words)}"
        if before and sitting.began < before.ended:
            yield f"  {words.text('clock set back before')}"
        yield f"  {_sitting(sitting, history.unit, words)}"
        if sitting.clock_set:
            span = words.duration(abs(sitting.clock_set))
            yield f"  {words.text('clock set forward' if sitting.clock_set > 0 else 'clock set back', span=span)}"
    yield from (f"  {_edited(edit, words)}" for edit in edits)


def _edited(edit: Edited, words: Printed) -> str:
    return words.text(f"edited {edit.hangs}", at=f"{edit.at:%Y-%m-%d %H:%M}")


def _sitting(sitting: Sitting, unit: str, words: Printed) -> str:
    """From when to when, and what was done: "2026-01-02 19:40 to 21:10    12 ends, 1 end taken back"."""
    same_day = sitting.began.date() == sitting.ended.date()
    until = f"{sitting.ended:%H:%M}" if same_day else f"{sitting.ended:%Y-%m-%d %H:%M}"
    told = words.text(
        "sitting", began=f"{sitting.began:%Y-%m-%d %H:%M}", until=until, done=f"{sitting.done:4}",
        units=words.units(unit, sitting.done),
    )  # fmt: skip
    if sitting.taken_back:
        units = words.units(unit, sitting.taken_back)
        told = words.text("sitting taken back", sitting=told, count=sitting.taken_back, units=units)
    return f"{told}, {sitting.weaver}" if sitting.weaver else told


def _pace(seconds: str, unit: str, words: Printed) -> str:
    return words.text(f"seconds for one {unit}", seconds=seconds)


def own_paces(paces: Sequence[OwnPace], words: Printed) -> list[str]:
    """The weaver's own pace in each job, and what it rests on."""
    if not paces:
        return [words.text("no pace yet")]
    wide = max(NARROWEST_JOB, widest(words.job(pace.job) for pace in paces))
    return [
        words.text(
            "own pace",
            job=padded(words.job(pace.job), wide),
            pace=_pace(f"{words.decimal(pace.seconds, 1):>5}", pace.told.unit, words),
            counted=pace.told.counted,
            units=words.units(pace.told.unit, pace.told.counted),
            count=len(pace.told.sittings),
            title=pace.told.title,
        )
        for pace in paces
    ]


def noted(session: Session, words: Printed) -> str:
    """Where a note is kept: the place that the session has come to."""
    job, group = words.job(session.job.name), session.group
    return words.text(
        "noted", title=session.warp.title, job=job, group=group.name, counted=group.counted, expected=group.expected
    )


def upcoming(told: Upcoming, words: Printed) -> list[str]:
    """How every job stands, what comes next and why, and by which commands."""
    wide = widest(words.job(standing.job) for standing in told.standings)
    ends = words.text("ends of warp", title=told.title, count=told.ends, units=words.units("end", told.ends))
    return [
        f"{ends}, {words.text(f'order {told.warping}')}",
        *(f"  {padded(words.job(each.job), wide)}  {_standing(each, words)}" for each in told.standings),
        words.text("next", why=words.told(told.why)),
        *(f"  {command}" for command in told.commands),
    ]


def _standing(standing: Standing, words: Printed) -> str:
    """One job: how much is counted, and which groups are not closed."""
    note = words.told(standing.note) if standing.note else ""
    left = words.left(standing.left) if standing.left else ""
    if standing.told is None:
        begun = "" if standing.unreadable else words.text("job not begun")
        return "; ".join(filter(None, (begun, left, note)))
    waiting = len(standing.groups(GroupState.WAITING))
    parts = (
        _count(standing.told, words),
        words.text("every group is closed") if standing.state is JobState.DONE else "",
        _groups(standing, GroupState.OPEN, words),
        _groups(standing, GroupState.OFF, words),
        _groups(standing, GroupState.BEFORE, words),
        words.text("groups not begun", count=waiting) if waiting else "",
        left,
        note,
    )
    return "; ".join(filter(None, parts))


def _groups(standing: Standing, state: GroupState, words: Printed) -> str:
    """The groups that stand so, each with its count; one that is off is called so in capitals."""
    groups = [
        f"{group.name} ({words.text('counted of', counted=group.counted, expected=group.expected)}"
        f"{words.left_over(group)})"
        for group in standing.groups(state)
    ]
    name = words.state(state).upper() if state is GroupState.OFF else words.state(state)
    return words.text("groups so", state=name, groups=", ".join(groups)) if groups else ""


def upcoming_as_json(told: Upcoming, english: Printed) -> dict[str, object]:
    """Title, ends, jobs, why, and the commands to choose from; another program reads it in English."""
    return {
        "title": told.title,
        "ends": told.ends,
        "warping": told.warping,
        "jobs": [
            {
                "job": each.job,
                "state": each.state.value,
                "counted": each.told.counted if each.told else 0,
                "not_closed": [g.as_json() for g in each.told.groups if g.state not in COME_RIGHT] if each.told else [],
                "note": english.told(each.note) if each.note else "",
                "seconds_left": round(each.left.seconds) if each.left else None,
                "own_pace": each.left.own if each.left else None,
            }
            for each in told.standings
        ],
        "job": told.job,
        "why": english.told(told.why),
        "next": list(told.commands),
    }

"""A rehearsal without sound: events straight into the session, in moments."""

import random

from assistant.rehearsal.outcome import Report
from assistant.rehearsal.weaver import Weaver
from assistant.session.events import Event, Kind, Origin
from assistant.session.machine import Session
from assistant.session.view import ModeName

SECONDS_AN_END = (20.0, 40.0)

STEP_S, A_GROUP_S = 0.9e-3, 0.1e-6  # that a step takes, and more for each group that there is; measured


def going_through(session: Session) -> float:
    """About how many seconds it takes to go through the whole session."""
    groups = len(session.warp.groups)
    return (session.calls + groups) * (STEP_S + A_GROUP_S * groups)


def rehearse(report: Report, weaver: Weaver, seed: int) -> None:
    """Go through the whole session; times are in seconds from the start and follow from the seed."""
    pace = random.Random(seed)
    now = 0.0
    report.handle(Event(Kind.SIT_DOWN, now, source=Origin.CLOCK))
    while not report.left:
        view = report.session.view()
        if view.mode is ModeName.CALLING:
            now += sum(pace.uniform(*SECONDS_AN_END) for _ in range(view.calling))
        for act in weaver.act(view):
            now += 1.0
            report.note_said(now, f"({act.word})")
            report.note_heard((act.kind, act.number), (act.kind, act.number))
            report.handle(Event(act.kind or Kind.UNCLEAR, now, act.number, Origin.KEY))

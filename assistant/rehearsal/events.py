"""A rehearsal without sound: events straight into the session, in moments."""

import random

from assistant.rehearsal.report import Report
from assistant.rehearsal.weaver import Act, Weaver
from assistant.session.events import Event, Kind
from assistant.session.view import Mode

SECONDS_AN_END = (20.0, 40.0)


def rehearse(report: Report, weaver: Weaver, seed: int, began: float) -> None:
    """Go through the whole session; times begin at `began`, in seconds since the epoch, and follow from the seed."""
    pace = random.Random(seed)
    now = began
    report.handle(Event(Kind.SIT_DOWN, now, source="clock"), 0.0)
    left = False
    while not left:
        view = report.session.view()
        if view.mode is Mode.CALLING:
            now += sum(pace.uniform(*SECONDS_AN_END) for _ in view.call)
        for act in weaver.act(view):
            now += 1.0
            report.handle(as_event(act, now), now - began)
            report.note_heard(act.kind, act.kind)
            left = act.kind is Kind.LEAVE


def as_event(act: Act, at: float) -> Event:
    """An act as a pedal or a key would give it."""
    return Event(act.kind or Kind.UNCLEAR, at, act.number, "key")

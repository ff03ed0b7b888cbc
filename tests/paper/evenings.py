"""Evenings at the loom, as a journal keeps them: with a mistake, a break, words heard wrong, and notes."""

from pathlib import Path

from assistant.paper.retold import story
from assistant.paper.story import Story
from assistant.session.events import Event, Kind, Origin
from assistant.session.journal import Record
from assistant.session.machine import Session
from assistant.session.view import ModeName
from assistant.warp.passes import PASSES
from assistant.warp.sequence import dump, loads
from assistant.words.language import load

ENGLISH = load("en")
EVENING = 1_780_000_000.0  # seconds since the epoch
RUNNER = """
title: Test runner
shafts: 4
groups:
  - {name: edge, thread: 1 2 1 2 1 2}
  - {name: rose, thread: 2(1 2 3 4 3 2), times: 2}
"""


class Evening:
    """Makes events one after the other, ten seconds apart."""

    def __init__(self, text: str = RUNNER, job: str = "thread", at: float = EVENING):
        self.warp = loads(text.encode(), "test.yaml")
        self.record = Record(1, str(Path("test.yaml").resolve()), dump(self.warp), at, job)
        self.session = Session(self.warp, PASSES[job])
        by_four = 4 if PASSES[job].size.usual == 4 else None
        self.at, self.events = at, [Event(Kind.SIT_DOWN, at, by_four, source=Origin.CLOCK)]
        self.session.replay(self.events)

    def __call__(self, *kinds: str | int, by: str = "pedal", after: float = 10.0, text: str = "") -> "Evening":
        """Let these happen, a number standing for itself."""
        for kind in kinds:
            self.at += after
            meant, number = (Kind.NUMBER, kind) if isinstance(kind, int) else (Kind(kind), None)
            event = Event(meant, self.at, number, by, text=text)
            self.events.append(event)
            self.session.handle(event)
        return self

    def to_the_end(self, by: str = "pedal", after: float = 10.0) -> "Evening":
        """Next until every group is closed."""
        while self.session.mode is not ModeName.COMPLETE:
            self("next", by=by, after=after)
        return self

    def told(self) -> Story:
        """What is told of it."""
        return story(self.record, self.events, ENGLISH)


def eventful() -> Evening:
    """A group found one over and begun anew, another settled, a call taken back, a pause, two sittings, two notes."""
    evening = Evening()
    evening("next", "next", "over", 1)("find", by=Origin.VOICE)
    while evening.session.mode is ModeName.ASKING:
        evening("unsure", by=Origin.VOICE)
    evening("redo", by=Origin.VOICE)("next", by=Origin.VOICE) if evening.session.mode is not ModeName.CALLING else None
    evening("next", "next", "next", by=Origin.VOICE)
    evening("next", by=Origin.VOICE)("back", after=3.0)("unclear", by=Origin.VOICE)("next", by=Origin.VOICE, after=4.0)
    evening("note", by="key")("pause")("resume", after=1200.0)
    evening("next", "next", "short", 2)("settle", by="key")("leave")
    evening("sit down", by=Origin.CLOCK, after=80_000.0)
    return evening.to_the_end()("note", by="written", after=4000.0, text="=HYPERLINK(1) <b>mind the knot</b>")

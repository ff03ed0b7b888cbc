"""Killed with SIGKILL at any moment, a sitting goes on at the step last acknowledged."""

import os
import random
import signal
import sqlite3
import time
from collections.abc import Sequence
from pathlib import Path

import pytest
from memory import Memory

from assistant.senses.mouth import SilentMouth
from assistant.session.events import Event, Kind, Sound
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.session.resume import Resumption, replayed
from assistant.sitting.loop import Loop
from assistant.sitting.prepare import open_record
from assistant.warp.passes import THREAD
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.speech import Say
from assistant.words.wording import Wording

FILE = Path("long.yaml")
WARP = loads(b"{shafts: 4, groups: [{name: stripe, thread: 25(1 2 3 4), times: 12}]}", "long.yaml")
WARPS, KILLS = 8, 25  # kills of each warp; few, since every sitting replays all those before

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")


class Teller(SilentMouth):
    """Tells the outside, one byte an utterance, that an event was acknowledged."""

    def __init__(self, pipe: int):
        self.pipe = pipe

    def utter(self, sounds: Sequence[Say | Sound]) -> None:
        os.write(self.pipe, b".")


def sit(path: Path, pipe: int, presses: list[Kind]) -> None:
    """One sitting, in a process of its own, with more presses waiting than it will live to take."""
    with Journal(path) as journal, journal.hold(FILE, "thread", "the window to be killed"):
        record, session = open_record(journal, FILE, THREAD, WARP, Resumption(), time.time())
        loop = Loop(session, Wording(load("en"), "thread"), journal.keep(record), Teller(pipe), Memory())
        for press in presses:
            loop.post(Event(press, time.time(), source="pedal"))
        loop.run()


def killed_sitting(path: Path, presses: list[Kind], until: int, then_s: float) -> int:
    """Begin a sitting, kill it a while after so many events were acknowledged; how many were in all."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.close(reading)
            sit(path, writing, presses)
        finally:
            os._exit(1)
    os.close(writing)
    acknowledged = 0
    while acknowledged < until:
        piece = os.read(reading, 1)
        assert piece, "the sitting ended by itself"
        acknowledged += 1
    time.sleep(then_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while piece := os.read(reading, 65536):
        acknowledged += len(piece)
    os.close(reading)
    return acknowledged


@pytest.mark.parametrize("seed", range(WARPS))
def test_nothing_acknowledged_is_lost_and_nothing_counted_twice(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "journal.sqlite3"
    chance = random.Random(seed)
    with Journal(path) as journal:
        open_record(journal, FILE, THREAD, WARP, Resumption(), 0.0)
    events: list[Event] = []
    lived = Session(WARP)
    caught = 0
    for _ in range(KILLS):
        presses = [chance.choice([Kind.NEXT] * 6 + [Kind.BACK, Kind.REPEAT, Kind.PAUSE]) for _ in range(400)]
        acknowledged = killed_sitting(path, presses, chance.randrange(12), chance.uniform(0.0, 0.01))
        check = sqlite3.connect(path)
        assert check.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        check.close()
        with Journal(path) as journal:
            record = journal.under_way(FILE, "thread")
            assert record is not None
            before, events = events, journal.events(record)
            resumed = replayed(journal, record)
        assert events[: len(before)] == before
        new = [event.kind for event in events[len(before) :]]
        assert acknowledged <= len(new) <= acknowledged + 1
        assert new == [Kind.SIT_DOWN, *presses][: len(new)]
        caught += bool(new)
        lived.replay(events[len(before) :])
        assert resumed.view() == lived.view()
    assert caught > KILLS / 2
    assert sum(event.kind is Kind.NEXT for event in events) > KILLS


def test_a_killed_sitting_leaves_the_warp_free_to_go_on_with(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    assert killed_sitting(path, [Kind.NEXT, Kind.NEXT], 3, 0.1) == 3
    with Journal(path) as journal:
        record = journal.under_way(FILE, "thread")
        assert record is not None
        with journal.hold(FILE, "thread", "the window after it"):
            assert replayed(journal, record).done == 8

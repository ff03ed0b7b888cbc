"""Small warps for the session's tests."""

from typing import Any

from assistant.session.events import Event
from assistant.session.machine import Session
from assistant.warp.model import Warp
from assistant.warp.passes import THREAD, Pass
from assistant.warp.sequence import loads
from assistant.words.language import load
from assistant.words.wording import Performed, Wording

ENGLISH = load("en")

RUNNER = """
title: Test runner
shafts: 4
groups:
  - {name: edge, thread: 1 2 1 2 1 2}
  - {name: rose, thread: 2(1 2 3 4 3 2), times: 2}
"""


def warp(text: str = RUNNER) -> Warp:
    """A warp from YAML."""
    return loads(text.encode(), "test.yaml")


def session(text: str = RUNNER, job: Pass[Any] = THREAD) -> Session:
    """A session over it, not yet sat down to; ends and knots are called by four."""
    return Session(warp(text), job, 4 if job.size.usual == 4 else None)


def english(session: Session) -> Wording:
    """What words a session in English."""
    return Wording(ENGLISH, session.job.name)


def spoken(session: Session, event: Event) -> list[Performed]:
    """What a session does about an event, its phrases in English."""
    return list(english(session).spoken(session.handle(event)))

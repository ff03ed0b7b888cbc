"""Reading the threading back: the helper calls and the weaver follows, or the weaver reads and the helper compares."""

from collections.abc import Sequence
from dataclasses import replace

from assistant.meaning import Tell
from assistant.warp.model import Warp
from assistant.warp.passes.thread import THREAD, InHeddle
from assistant.warp.passes.walk import Call, Figure, Item, Manner, no_cautions


def _tell(warp: Warp, call: Call[InHeddle]) -> Sequence[Item]:
    """Nothing that would give the shafts away; and what counts, where heddles and ends are not as many."""
    end, ends = call.start + 1, len(warp.groups[call.group].ends)
    counts = [Item(Tell("read heddles"), aside=True)] if not call.start and ends != call.of else []
    return [Item(Tell("read from", end=end), (Figure(str(end), Tell("caption: read from")),)), *counts]


CHECK = replace(
    THREAD,
    name="check",
    about="hear the threading called at a steady pace, follow with a finger, tell where it differs",
    manner=Manner.STEADY,
    cautions=no_cautions,
    pace=1.5,  # to hear a call and to follow it with a finger
)

READ = replace(
    CHECK,
    name="read",
    about="read the threading back, aloud or by keys; the helper compares",
    command="check --read",
    manner=Manner.READ,
    tell=_tell,
    pace=3.0,
)

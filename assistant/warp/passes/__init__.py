"""The walks over a warp, one file each: Warp -> calls. A new one is a file of its own, its name here, and its words.

order.py has the order in which they are done, pace.py how long they take.
"""

from typing import Any

from assistant.warp.passes.check import CHECK, READ
from assistant.warp.passes.heddles import HEDDLES
from assistant.warp.passes.sley import SLEY, Dent, dents
from assistant.warp.passes.thread import THREAD
from assistant.warp.passes.tie import TIE, Knot
from assistant.warp.passes.walk import Call, Figure, Item, Manner, Pass
from assistant.warp.passes.wind import WIND

PASSES: dict[str, Pass[Any]] = {job.name: job for job in (WIND, HEDDLES, THREAD, CHECK, READ, SLEY, TIE)}

__all__ = [
    "CHECK",
    "HEDDLES",
    "PASSES",
    "READ",
    "SLEY",
    "THREAD",
    "TIE",
    "WIND",
    "Call",
    "Dent",
    "Figure",
    "Item",
    "Knot",
    "Manner",
    "Pass",
    "dents",
]

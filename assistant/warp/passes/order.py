"""The order of work: which jobs dress a loom, one after the other. Common practice, no source.

What is not counted, such as beaming, stands between them.
"""

from collections.abc import Mapping, Set

from assistant.warp.model import Warping
from assistant.warp.passes.check import CHECK, READ
from assistant.warp.passes.heddles import HEDDLES
from assistant.warp.passes.sley import SLEY
from assistant.warp.passes.thread import THREAD
from assistant.warp.passes.tie import TIE
from assistant.warp.passes.wind import WIND

ORDERS: Mapping[Warping, tuple[str, ...]] = {
    "back-to-front": (WIND.name, HEDDLES.name, THREAD.name, CHECK.name, SLEY.name),  # beamed before heddles
    "front-to-back": (WIND.name, SLEY.name, HEDDLES.name, THREAD.name, CHECK.name),  # beamed at the end
    "tied-on": (WIND.name, TIE.name),
}
USUAL: Warping = "back-to-front"

OPTIONAL = (HEDDLES.name, CHECK.name)  # may be passed over
OTHERWISE = {CHECK.name: READ.name}  # the same, done in another way

_BEFORE_THREADING = {WIND.name, HEDDLES.name}
COVERS: Mapping[str, Set[str]] = {  # a job -> those of which nothing need be done any more when it is
    SLEY.name: {WIND.name},
    THREAD.name: _BEFORE_THREADING,
    CHECK.name: {*_BEFORE_THREADING, THREAD.name, READ.name},
    READ.name: {*_BEFORE_THREADING, THREAD.name, CHECK.name},
    TIE.name: {*_BEFORE_THREADING, THREAD.name, CHECK.name, READ.name, SLEY.name},
}
SPARED_BY_TYING = (HEDDLES.name, THREAD.name, SLEY.name)


def as_done(asked: Warping, begun: Set[str]) -> Warping:
    """The order in which a warp is dressed, going by the jobs begun on the loom, else as was asked."""
    if TIE.name in begun:
        return "tied-on"
    return USUAL if asked == "tied-on" and begun - {WIND.name} else asked

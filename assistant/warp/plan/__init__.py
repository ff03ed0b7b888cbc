"""The arithmetic before a thread is cut."""

from assistant.warp.plan.heddles import heddle_cautions, heddles
from assistant.warp.plan.make import plan
from assistant.warp.plan.times import COMMON_PACES
from assistant.warp.plan.whole import Plan
from assistant.warp.plan.wishes import Wishes, wishes

__all__ = ["COMMON_PACES", "Plan", "Wishes", "heddle_cautions", "heddles", "plan", "wishes"]

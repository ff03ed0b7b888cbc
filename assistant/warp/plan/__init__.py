"""The arithmetic before a thread is cut."""

from assistant.warp.plan.cloth import imagined
from assistant.warp.plan.whole import Plan, plan, plan_cloth
from assistant.warp.plan.wishes import Wishes, wishes

__all__ = ["Plan", "Wishes", "imagined", "plan", "plan_cloth", "wishes"]

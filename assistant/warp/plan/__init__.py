"""The arithmetic before a thread is cut."""

from assistant.warp.plan.whole import Plan, plan
from assistant.warp.plan.wishes import Wishes, wishes

__all__ = ["Plan", "Wishes", "plan", "wishes"]

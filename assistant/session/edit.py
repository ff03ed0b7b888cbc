"""A sequence that was edited under a record: how its groups follow those before, and how what is done hangs."""

from dataclasses import dataclass
from typing import Any

from assistant.warp.model import Hangs, Warp
from assistant.warp.passes.walk import Pass


@dataclass(frozen=True, slots=True)
class Follows:
    """How the units of a group of the edited sequence follow those of one before."""

    group: int = -1  # the one before, from 0; -1 where there was none
    same: int = 0  # units from its beginning that are as before
    again_to: int = 0  # units up to which it differs; those after are as before


@dataclass(frozen=True, slots=True)
class Revision:
    """The edited sequence, a Follows for each of its groups, in the job of the record, and how what is done hangs."""

    warp: Warp
    groups: tuple[Follows, ...]
    hangs: Hangs = Hangs.NEW

    def fits(self, groups: int, job: Pass[Any]) -> bool:
        """It can follow a sequence of so many groups, as this job goes along them."""
        before = [each.group for each in self.groups if each.group >= 0]
        return (
            len(self.groups) == len(job.along(self.warp).groups)
            and len(set(before)) == len(before)
            and all(each.group < groups and 0 <= each.same <= each.again_to for each in self.groups)
        )


def fitting(about: object, groups: int, job: Pass[Any]) -> Revision | None:
    """The edit that an event is about, where it can follow a sequence of so many groups, in this job."""
    return about if isinstance(about, Revision) and about.fits(groups, job) else None

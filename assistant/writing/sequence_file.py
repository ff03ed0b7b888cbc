"""The sequence file of a slip, as a weaver would have written it."""

from dataclasses import replace
from typing import Any

import yaml

from assistant.warp.draft.propose import propose
from assistant.warp.model import End, Group, Loom, Warp
from assistant.warp.sequence import WIDTH, dump
from assistant.writing.slip import Entry, PaperSlip, WrittenGroup

TOGETHER = 40  # ends that a weaver counts together at most; more without a border are cut where they repeat


def sequence_file(slip: PaperSlip, title: str) -> str:
    """Groups, names, repeats and colours as they were told; what was told as one long group is cut where it repeats."""
    bare = Warp(title, Loom(slip.shafts), (), slip.start or "right", yarns=slip.palette)
    first = slip.whole[0]
    if isinstance(first, WrittenGroup) and _untold(slip, first):
        return propose(replace(bare, groups=(Group("ends", slip.ends(first) * first.times),)))
    keys = yaml.safe_load(dump(replace(bare, groups=(Group("ends", (End((1,)),)),))))
    keys |= {"groups": [_keys(entry) for entry in slip.whole]}
    if slip.blocks:
        groups = keys.pop("groups")
        keys |= {"blocks": {name: row.text for name, row in slip.blocks}, "groups": groups}
    text: str = yaml.safe_dump(keys, allow_unicode=True, default_flow_style=None, width=WIDTH, sort_keys=False)
    return text


def _untold(slip: PaperSlip, first: WrittenGroup) -> bool:
    """Whether no borders of groups were told, and some are wanted."""
    return len(slip.whole) == 1 and not (first.name or slip.blocks) and len(first.ends) > TOGETHER


def _keys(entry: Entry) -> dict[str, Any]:
    times = {"times": entry.times} if entry.times > 1 else {}
    if isinstance(entry, WrittenGroup):
        keys = {"name": entry.name, "thread": ", ".join(row.text for row in entry.rows), "yarn": entry.order}
        return {key: value for key, value in keys.items() if value} | times
    return {"groups": [_keys(part) for part in entry.parts]} | times

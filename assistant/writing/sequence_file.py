"""The sequence file of a slip, as a weaver would have written it."""

from dataclasses import replace
from typing import Any

import yaml

from assistant.warp.draft.propose import propose
from assistant.warp.model import End, Group, Loom, Warp, Yarn
from assistant.warp.sequence import WIDTH, dump
from assistant.writing.again import in_shafts
from assistant.writing.slip import Entry, PaperSlip, WrittenGroup, WrittenSeveral

KEY = "key"  # of the profile, by its name
TOGETHER = 40  # ends that a weaver counts together at most; more without a border are cut where they repeat


def sequence_file(slip: PaperSlip, title: str) -> str:
    """Groups, names, repeats and colours as they were told; what was told as one long group is cut where it repeats."""
    yarns = {key: Yarn(key, key) for key in slip.yarns}
    bare = Warp(title, Loom(slip.shafts), (), slip.start or "right", yarns=yarns)
    first = slip.whole[0]
    if isinstance(first, WrittenGroup) and _untold(slip, first):
        return propose(replace(bare, groups=(Group("ends", slip.ends(first) * first.times),)))
    keys = yaml.safe_load(dump(replace(bare, groups=(Group("ends", (End((1,)),)),))))
    del keys["groups"]
    if any(row.blocks for group in slip.parts() for row in group.rows):
        keys["keys"] = {KEY: {name: row.text for name, row in slip.blocks}}
    keys["groups"] = [_keys(entry) for entry in slip.whole]
    text: str = yaml.safe_dump(keys, allow_unicode=True, default_flow_style=None, width=WIDTH, sort_keys=False)
    return text


def _untold(slip: PaperSlip, first: WrittenGroup) -> bool:
    """Whether no borders of groups or calls were told, some are wanted, and every end has heddles of its own."""
    plain = not (first.name or any(row.blocks for row in first.rows) or first.threads.calls)
    single = all(hung.shafts and hung.ends == 1 for hung in first.threads.hung)
    return plain and single and len(slip.whole) == 1 and first.count > TOGETHER


def _keys(entry: Entry) -> dict[str, Any]:
    times = {"times": entry.times} if entry.times > 1 else {}
    if isinstance(entry, WrittenSeveral):
        return {"groups": [_keys(part) for part in entry.parts]} | times
    of_blocks = all(row.blocks for row in entry.rows)
    rows = ", ".join(row.text if of_blocks else in_shafts(row) for row in entry.rows)
    keys = {"name": entry.name, "profile" if of_blocks else "thread": rows.replace(";,", ";"), "yarn": entry.order}
    return {key: value for key, value in keys.items() if value} | times

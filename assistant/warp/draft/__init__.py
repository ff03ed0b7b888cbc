"""Drafts that weavers already have, in and out.

- numbers.py, wif.py: lists of shafts, and WIF files, in and out; reading.py: whatever text they are in
- values.py, yarns.py: a draft as it was read, and its yarns
- propose.py: the sequence file for one; grouping.py: its groups; repeats.py: where it repeats, and how that is written;
  strands.py: its ends by heddles; pricing.py: how long a stretch of them is, written
"""

from assistant.warp.draft.numbers import read_list
from assistant.warp.draft.values import AS_IT_IS, AskedOf, Draft, edges, to_warp
from assistant.warp.draft.wif import lost, read_draft, write_draft

__all__ = ["AS_IT_IS", "AskedOf", "Draft", "edges", "lost", "read_draft", "read_list", "to_warp", "write_draft"]

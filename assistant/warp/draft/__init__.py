"""Drafts that weavers already have, in and out."""

from assistant.warp.draft.numbers import read_list
from assistant.warp.draft.values import Draft, edges, to_warp
from assistant.warp.draft.wif import read_draft
from assistant.warp.draft.write import write_draft

__all__ = ["Draft", "edges", "read_draft", "read_list", "to_warp", "write_draft"]

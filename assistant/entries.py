"""The one way a YAML file is read that this program wrote or brought with it."""

import os
from typing import Any

import yaml

from assistant.files import read_whole

LET_OUT = (ValueError, OverflowError, RecursionError)  # by PyYAML, beside errors of its own
FAST = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # the one in C is ten times as fast


class WithoutAnchors(yaml.SafeLoader):
    """For what others may have written since: without anchors, by which a few lines say more than any memory holds."""

    def compose_node(self, parent: yaml.Node | None, index: int) -> yaml.Node | None:
        if self.peek_event().anchor is not None:  # type: ignore[no-untyped-call]
            raise yaml.YAMLError("an anchor")
        return super().compose_node(parent, index)


def read_entries(path: str | os.PathLike[str], most: int, loader: type[yaml.SafeLoader] = FAST) -> Any:
    """What a plain file of at most so many bytes holds.

    Raises OSError, as `files.read_whole` does; ValueError, with why, where it is not YAML in UTF-8.
    """
    content = read_whole(path, most)
    try:
        return yaml.load(content.decode(), loader)
    except (yaml.YAMLError, *LET_OUT) as error:
        raise ValueError(" ".join(str(error).split())) from error

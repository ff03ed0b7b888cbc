"""The group in which a mistake is looked for."""

from dataclasses import dataclass

from assistant.warp.notation import Ends


@dataclass(frozen=True, slots=True)
class Group:
    """A group as it should lie: shafts of every end, where its calls begin (from 0), shafts of the loom."""

    expected: Ends
    call_starts: tuple[int, ...]
    shafts: int

"""What was observed when a group was closed."""

from collections.abc import Mapping
from dataclasses import dataclass

from assistant.session.finder.effects import Counts, Effect, counts


@dataclass(frozen=True, slots=True)
class Observation:
    """Ends over (short: negative); heddles over on each shaft looked at, None where none were counted out."""

    over: int
    heddles: Mapping[int, int] | None = None

    def fits(self, left: Effect) -> bool:
        """Whether this is what one would see."""
        return left.over == self.over and self.looked_at(left.heddles) == counts(self.heddles or {})

    def looked_at(self, heddles: Counts) -> Counts:
        """Of these counts, those the weaver has looked at."""
        looked = self.heddles or {}
        return frozenset(pair for pair in heddles if pair[0] in looked)

    @property
    def most_off(self) -> int:
        """The most ends or heddles by which any count is off."""
        return max(map(abs, (self.over, *(self.heddles or {}).values())))

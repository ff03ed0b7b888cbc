"""Cards for the loom bench: a page a job, as HTML or PDF from one layout."""

from assistant.cards.contents import JOBS
from assistant.cards.render import cards
from assistant.cards.write import write_cards

__all__ = ["JOBS", "cards", "write_cards"]

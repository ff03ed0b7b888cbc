"""What a simulated weaver tells a session, one thing after another."""

from dataclasses import dataclass

from assistant.errors import RehearsalError
from assistant.rehearsal.outcome import Report
from assistant.session.events import Event, Kind
from assistant.session.view import ModeName
from assistant.words.wording import Performed

SECONDS = 30.0  # between two things told
MOST_TOLD = 20  # things told for each end, and for 10 more, after which something is going round in circles


@dataclass(slots=True)
class Talk:
    """A session, and the weaver's side of it."""

    report: Report
    told: int = 0

    def __call__(
        self, kind: Kind, number: int | None = None, row: tuple[int, ...] = (), by: str = ""
    ) -> list[Performed]:
        """Tell this. Raises RehearsalError where the rehearsal does not come to an end."""
        self.told += 1
        if self.told > MOST_TOLD * (self.report.session.total + 10):
            raise RehearsalError("the rehearsal goes round in circles; try fewer mistakes, or another --seed")
        return self.report.handle(Event(kind, self.told * SECONDS, number, by, row))

    @property
    def group(self) -> int:
        """The group in hand, from 0."""
        return self.report.session.place.group

    def is_past(self, group: int) -> bool:
        """A group is closed, and the next is in hand, or there is none."""
        return self.mode is ModeName.COMPLETE or self.group != group

    @property
    def mode(self) -> ModeName:
        """Where the session stands."""
        return self.report.session.mode

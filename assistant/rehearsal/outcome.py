"""What came of a rehearsal: the groups, the alerts, what was heard, and who said what."""

from dataclasses import asdict, dataclass, field
from enum import StrEnum

from assistant.meaning import Tell
from assistant.session.events import Event, Kind, Sound, Stop
from assistant.session.machine import Session
from assistant.session.view import ALARM
from assistant.words.columns import padded
from assistant.words.printed import Printed, widest
from assistant.words.speech import Say
from assistant.words.wording import Performed, Wording

Told = tuple[Kind | None, int | None]  # what was told, and the number that goes with it


@dataclass(slots=True)
class Alert:
    """A count that was off: ends over are positive, ends short negative."""

    group: str
    off_by: int


@dataclass(slots=True)
class HeardCounts:
    """The weaver's commands, and what became of them."""

    said: int = 0
    right: int = 0
    wrong: int = 0
    missed: int = 0


class Who(StrEnum):
    """Who said something."""

    HELPER = "helper"
    WEAVER = "weaver"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the transcript: seconds from the start, who, and what: as it was said, or a phrase for a tone."""

    at: float
    who: Who
    what: tuple[str | Tell, ...]

    def line(self, words: Printed) -> str:
        """The same to read."""
        who = padded(words.text(self.who), widest(map(words.text, Who)))
        return f"{words.decimal(self.at, 1):>6} s  {who}  {' '.join(map(words.worded, self.what))}"


@dataclass(slots=True)
class Report:
    """Watches a session go by."""

    session: Session
    words: Wording
    alerts: list[Alert] = field(default_factory=list)
    heard: HeardCounts = field(default_factory=HeardCounts)
    transcript: list[Line] = field(default_factory=list)
    left: bool = False
    _alerting: bool = False

    def handle(self, event: Event) -> list[Performed]:
        """Pass an event on to the session and note what it does; its phrases are in words then."""
        effects = list(self.words.spoken(self.session.handle(event)))
        self._note_alert()
        said = tuple(_spoken(effect) for effect in effects if isinstance(effect, Say | Sound))
        self.transcript.append(Line(event.at, Who.HELPER, said))
        self.left = any(isinstance(effect, Stop) for effect in effects)
        return effects

    def note_said(self, at: float, text: str) -> None:
        """The weaver said or pressed something."""
        self.transcript.append(Line(at, Who.WEAVER, (text,)))

    def note_heard(self, said: Told, heard: Told) -> None:
        """A command was said, and heard as this one, or as none; a word that is no command does not count."""
        if said[0] is None:
            return
        self.heard.said += 1
        self.heard.right += heard == said
        self.heard.missed += heard[0] is None
        self.heard.wrong += heard[0] is not None and heard != said

    def _note_alert(self) -> None:
        group = self.session.group
        off = self.session.mode in ALARM
        if off and not self._alerting:
            self.alerts.append(Alert(group.name, 0))
        if off:
            self.alerts[-1].off_by = group.off_by
        self._alerting = off

    def as_json(self) -> dict[str, object]:
        """Ends (or heddles, or knots), calls, groups, alerts and what was heard."""
        return {
            f"{self.session.job.unit}s": self.session.total,
            "calls": self.session.calls,
            "groups": [group.as_json() for group in self.session.summary()],
            "alerts": [asdict(alert) for alert in self.alerts],
            "heard": asdict(self.heard),
        }

    def lines(self, words: Printed) -> list[str]:
        """The same for reading."""
        return [
            *words.group_lines(self.session.summary()),
            *(words.text("alert", group=alert.group, off=f"{alert.off_by:+}") for alert in self.alerts),
            words.text("said in all", **asdict(self.heard)),
        ]


def _spoken(effect: Say | Sound) -> str | Tell:
    return effect.text if isinstance(effect, Say) else Tell(f"tone {effect.tone}")

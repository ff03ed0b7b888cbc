"""A simulated weaver: threads what is called with ends from a counted bundle, and makes the mistakes asked for."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from assistant.errors import RehearsalError
from assistant.session.events import Kind
from assistant.session.view import ModeName, View


class Slip(StrEnum):
    """What a weaver does wrong."""

    SKIP = "skip"  # one end of the call is left out: it is over when the group closes
    DOUBLE = "double"  # the call is threaded twice: the bundle runs out too early
    EARLY_DONE = "early-done"  # "finished" is said with ends still in hand; the weaver goes back
    DOUBLE_PRESS = "double-press"  # the pedal is pressed twice, and a call goes by unthreaded
    MISHEARD = "misheard"  # something that is no command is said first


@dataclass(frozen=True, slots=True)
class PlannedSlip:
    """A slip made in the call that holds this end, counted from 1 over the whole warp."""

    slip: Slip
    end: int

    @classmethod
    def parse(cls, text: str) -> "PlannedSlip":
        """A slip as "skip@18". Raises RehearsalError."""
        slip, _, end = text.partition("@")
        if slip not in list(Slip) or not re.fullmatch("[0-9]{1,9}", end):
            raise RehearsalError(
                "mistake {text!r}: write KIND@END, such as skip@18; kinds: {known}",
                text=text,
                known=", ".join(Slip),
            )
        return cls(Slip(slip), int(end))


@dataclass(frozen=True, slots=True)
class Act:
    """What the weaver tells the helper: a command, or None for a word that is none; a number where one is given."""

    kind: Kind | None
    number: int | None = None

    @property
    def word(self) -> str:
        """What it is, in a word."""
        return str(self.number) if self.kind is Kind.NUMBER else self.kind or "?"


class Weaver:
    """Decides what to do from what the helper shows; every group's bundle holds the ends expected of it."""

    def __init__(self, planned: Iterable[PlannedSlip] = ()):
        self._slips = {slip.end: slip.slip for slip in planned}
        self._in_hand = 0
        self._lacking = 0
        self._partway = 0
        self._too_early = False

    def act(self, view: View) -> list[Act]:
        """The acts that answer this view, in order. Threads the ends called on the way."""
        match view.mode:
            case ModeName.CALLING:
                return self._thread(view)
            case ModeName.CLOSING:
                return self._close()
            case ModeName.PARTWAY | ModeName.LAST_CALL:
                return [Act(Kind.BACK) if self._too_early else Act(Kind.NUMBER, self._partway)]
            case ModeName.OFF:
                return [Act(Kind.BACK if self._too_early else Kind.REDO)]
            case ModeName.PAUSED | ModeName.THERE:
                return [Act(Kind.RESUME)]
            case ModeName.COMPLETE | ModeName.SURE:
                return [Act(Kind.NEXT)]
            case _:  # what this weaver never comes to
                return [Act(Kind.BACK)]

    def _thread(self, view: View) -> list[Act]:
        if view.counted == 0:
            self._in_hand = view.expected
        self._lacking, self._too_early = 0, False
        ends = view.calling
        slip = self._slip_at(view.first, ends)
        if slip is Slip.EARLY_DONE:
            self._too_early = True
            return [Act(Kind.FINISHED)]
        meant = {Slip.SKIP: ends - 1, Slip.DOUBLE: 2 * ends}.get(slip or Slip.MISHEARD, ends)
        threaded = min(meant, self._in_hand)
        self._in_hand -= threaded
        self._lacking = max(0, min(meant, ends) - threaded)
        if self._lacking and view.counted + ends < view.expected:
            self._partway = threaded
            return [Act(Kind.FINISHED)]
        presses = 2 if slip is Slip.DOUBLE_PRESS else 1
        return [*([Act(None)] if slip is Slip.MISHEARD else []), *[Act(Kind.NEXT)] * presses]

    def _close(self) -> list[Act]:
        if self._too_early:
            return [Act(Kind.BACK)]
        if self._in_hand:
            return [Act(Kind.OVER), Act(Kind.NUMBER, self._in_hand)]
        if self._lacking:
            return [Act(Kind.SHORT), Act(Kind.NUMBER, self._lacking)]
        return [Act(Kind.NEXT)]

    def _slip_at(self, first: int, ends: int) -> Slip | None:
        """The slip meant for one of these ends; each is made once."""
        end = next((end for end in range(first, first + ends) if end in self._slips), None)
        return self._slips.pop(end) if end else None

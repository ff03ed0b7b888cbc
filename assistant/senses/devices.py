"""Devices that may go away and come back: noticed at once, got back in a thread of its own."""

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Protocol

from assistant.errors import DeviceMissing

TRY_EVERY_S, TRY_SELDOM_S = 1.0, 8.0  # the longer, the more often a device that is well had to be closed in vain
LEAVE_WITHIN_S = 3.0  # a sound server that hangs holds up the end no longer


class Device(Protocol):
    """What may go away and come back."""

    def alive(self) -> bool:
        """Whether it is there. Never waits."""

    def awake(self) -> bool:
        """Whether anything has gone through it since it was opened."""

    def shut(self) -> None:
        """Close it; whether it is open or not. May wait for the system."""

    def reopen(self) -> None:
        """Open it anew. Raises DeviceMissing while it is away. May wait for the system."""


class Devices:
    """Looks after devices that share one list of what is plugged in."""

    def __init__(
        self,
        rescan: Callable[[], None] = lambda: None,
        abandon: Callable[[], None] = lambda: None,
        busy: Callable[[], bool] = lambda: False,
    ):
        """`rescan` makes the list anew, for which all must be closed; not while those that are well are `busy`.

        `abandon` lets go of a system that did not answer when all were to be closed in the end.
        """
        self._rescan, self._abandon, self._busy = rescan, abandon, busy
        self._devices: dict[str, Device] = {}
        self._lost: frozenset[str] = frozenset()
        self._held: frozenset[str] = frozenset()  # those that the worker is closing and opening
        self._worker: threading.Thread | None = None
        self._closing = threading.Event()

    @property
    def names(self) -> frozenset[str]:
        """Of all that are looked after."""
        return frozenset(self._devices)

    def watch(self, name: str, device: Device) -> None:
        """Look after a device from now on."""
        self._devices[name] = device

    def lost(self) -> frozenset[str]:
        """The names of those that are away, which are being got back. Never waits."""
        held = self._held
        away = self._away()
        held |= self._held  # the worker may have begun meanwhile
        self._lost = away - held | self._lost & held
        if self._lost and not (self._working() or self._closing.is_set()):
            self._worker = threading.Thread(target=self._get_back, name="devices", daemon=True)
            self._worker.start()
        return self._lost

    def close(self) -> None:
        """Try no more, and close them all."""
        self._closing.set()
        last = threading.Thread(target=self._close_all, name="devices", daemon=True)
        last.start()
        last.join(LEAVE_WITHIN_S)
        if last.is_alive():
            self._abandon()

    def _close_all(self) -> None:
        if self._worker:
            self._worker.join()
        for device in self._devices.values():
            device.shut()

    def _working(self) -> bool:
        return self._worker is not None and self._worker.is_alive()

    def _away(self) -> frozenset[str]:
        return frozenset(name for name, device in self._devices.items() if not device.alive())

    def _get_back(self) -> None:
        """Until all are there: first those that are away alone, then all, from a list made anew."""
        pause = TRY_EVERY_S
        while (away := self._away()) and not self._closing.is_set():
            self._open(away)
            well = self.names - away
            if self._away() and not (well and self._busy()):
                self._open(self.names, self._rescan)
                pause = min(2 * pause, TRY_SELDOM_S) if well else TRY_EVERY_S
            if self._away():
                self._closing.wait(pause)

    def _open(self, names: frozenset[str], look: Callable[[], None] = lambda: None) -> None:
        """Close these, look what is there, open them, and wait until they are awake."""
        self._held = names
        devices = [self._devices[name] for name in names]
        for device in devices:
            device.shut()
        if self._closing.is_set():
            return
        look()
        for device in devices:
            with suppress(DeviceMissing):
                device.reopen()
        while any(device.alive() and not device.awake() for device in devices) and not self._closing.wait(0.05):
            pass
        self._held = frozenset()

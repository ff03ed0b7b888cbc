"""A pedal read from its own device, held for this program alone, whatever window is in front."""

import select
import threading
import time
from collections.abc import Callable
from contextlib import closing

from assistant.errors import DeviceLost, DeviceMissing
from assistant.senses.pedal.devices import Device, Devices, changes
from assistant.senses.pedal.gestures import SOURCE, Change, Switches
from assistant.senses.pedal.settings import Pedal
from assistant.session.events import Event, Kind

LOOK_AGAIN = 1.0  # seconds between looks for a pedal that is not there
LONGEST_WAIT = 0.2  # seconds until `close` is noticed
READY = "the pedal is ready"
LEAVING = ("KEY_Q", "KEY_ESC")  # a keyboard taught as a pedal is held too: it must be able to let go


class EvdevPedal:
    """Reads the pedal in a thread: events go to `post`, lines about plugging in and out to `notice`.

    What was noticed is taken back, with "", at the first press after.
    """

    def __init__(
        self,
        pedal: Pedal,
        post: Callable[[Event], None],
        notice: Callable[[str], None],
        devices: Devices | None = None,
    ) -> None:
        self._pedal, self._post, self._notice = pedal, post, notice
        self._devices = devices or Devices()
        self._lock = threading.Lock()
        self._switches = Switches(pedal.switches)
        self._told = ""
        self._closed = threading.Event()
        self._thread = threading.Thread(target=self._run, name="pedal", daemon=True)

    def start(self) -> None:
        """Begin to read; a pedal that is not there is looked for."""
        self._thread.start()

    def close(self) -> None:
        """Let the pedal go."""
        self._closed.set()
        self._thread.join()

    def counting(self, on: bool) -> None:
        """Whether a number is being counted out. From any thread."""
        with self._lock:
            self._switches.counting(on)

    def _run(self) -> None:
        while device := self._look():
            with closing(device):
                try:
                    self._read(device)
                except DeviceLost as lost:
                    self._missed(str(lost))

    def _look(self) -> Device | None:
        """The pedal, held, as soon as it is there; None once closed."""
        while not self._closed.is_set():
            try:
                device = self._hold()
            except DeviceMissing as missing:
                self._missed(str(missing))
                self._closed.wait(LOOK_AGAIN)
            else:
                if self._told:
                    self._tell(READY)
                return device
        return None

    def _hold(self) -> Device:
        device = self._devices.find(self._pedal.device)
        try:
            device.grab()
        except OSError as error:
            device.close()
            raise DeviceMissing(
                "another program holds the pedal; end that program, or go on with keys and voice"
            ) from error
        return device

    def _missed(self, line: str) -> None:
        with self._lock:
            self._switches.forget()
        if self._told in ("", READY):
            self._tell(line)

    def _tell(self, line: str) -> None:
        self._told = line
        self._notice(line)

    def _read(self, device: Device) -> None:
        while not self._closed.is_set():
            ready, _, _ = select.select([device], [], [], self._patience())
            arrived = changes(device) if ready else []
            with self._lock:
                events = [event for key, change in arrived for event in self._take(key, change)]
                events += self._switches.at(time.time())
            if events and self._told:
                self._tell("")
            for event in events:
                self._post(event)

    def _patience(self) -> float:
        """Seconds to wait for the pedal before something else is to be done."""
        with self._lock:
            due = self._switches.due
        return LONGEST_WAIT if due is None else min(max(due - time.time(), 0), LONGEST_WAIT)

    def _take(self, key: str, change: Change) -> list[Event]:
        if key in LEAVING and key not in self._pedal.switches:
            return [Event(Kind.LEAVE, change.at, source=SOURCE)] if change.down else []
        return self._switches.change(key, change.at, change.down)

"""A page that floods: whoever has the address, and whoever has not, sends as much as the machine gives away.

    python tests/attack/flood.py --tries 32 --seconds 400

Each try is a sitting with its page, keys pressed at the loom before and meanwhile, and one kind of flood from a process
of its own, through the open door or the encrypted one. No key may come late, the helper may not grow, nobody gets in
without the key, what a page does may not be obeyed faster than hands are, and afterwards a browser still joins and the
sitting ends well.
"""

import os
import select
import socket
import sqlite3
import ssl
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from urllib.parse import SplitResult, urlsplit

from frame.child import ENVIRONMENT
from frame.trying import CannotBeTried, Tally, Wish, run

FLOOD_S = 4.0
PRESS_S = 0.08  # between two keys
QUIET = 25  # keys before the flood
LATE_S = 1.0  # more than the worst before; the figures tell what is less than that
GROWN_MB = 24
TOUCHED_A_SECOND, TOUCHED_AT_ONCE = 10, 20
KEYS = (("w", "; warp "), ("m", "heard: Bookmark"))
BLOCK = 64  # messages in a packet
DOORS = {"open": b"page: ", "encrypted": b"secure page: "}  # and how a line of each address begins
SHARING = Path(__file__).parents[1] / "sharing_here.py"
ANYONES = ssl.create_default_context()  # which asks nobody who they are
ANYONES.check_hostname, ANYONES.verify_mode = False, ssl.CERT_NONE


def frame(payload: bytes, opcode: int = 0x1, last: bool = True, told: int | None = None) -> bytes:
    """As a browser sends it, with a mask that changes nothing; `told` is the length it claims."""
    length = len(payload) if told is None else told
    head = bytes([opcode | (0x80 if last else 0)])
    if length < 126:
        head += bytes([0x80 | length])
    elif length < 65536:
        head += bytes([0xFE]) + struct.pack("!H", length)
    else:
        head += bytes([0xFF]) + struct.pack("!Q", length)
    return head + bytes(4) + payload


def answer(step: int) -> bytes:
    return frame(b'{"step":%d,"at":9007199254740991,"do":"repeat","finger":true}' % step)


@dataclass
class Attacker:
    """What floods: it knows the address, whole or but for the key, and counts."""

    address: SplitResult
    end: float
    chance: Random
    sent: int = 0
    joined: int = 0  # web sockets that were taken
    refused: int = 0
    _open: list[socket.socket] = field(default_factory=list)

    def on(self) -> bool:
        return time.monotonic() < self.end

    def call(self, wait: float = 2.0) -> socket.socket:
        caller = socket.create_connection((self.address.hostname, self.address.port), timeout=wait)
        caller.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return caller

    def connect(self, wait: float = 2.0) -> socket.socket:
        caller = self.call(wait)
        if self.address.scheme == "http":
            return caller
        try:
            return ANYONES.wrap_socket(caller)
        except OSError:
            caller.close()
            raise

    def head(self, path: str, *more: str) -> bytes:
        host, scheme = self.address.netloc, self.address.scheme
        return "\r\n".join(
            [f"GET {path} HTTP/1.1", f"Host: {host}", f"Origin: {scheme}://{host}", *more, "", ""]
        ).encode()

    def join(self, path: str = "") -> socket.socket:
        """A web socket; raises OSError where it is refused."""
        caller = self.connect()
        upgrade = ("Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13")
        key = "Sec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA=="
        caller.sendall(self.head(path or f"{self.address.path}live", *upgrade, key))
        if b" 101 " not in caller.recv(4096)[:32]:
            self.refused += 1
            caller.close()
            raise ConnectionRefusedError
        self.joined += 1
        return caller

    def pour(self, messages: Callable[[], list[bytes]], read: bool = True) -> None:
        """Again and again through web sockets, each until it is cut off."""
        while self.on():
            with suppress(OSError), self.join() as through:
                through.settimeout(0.2)
                while self.on():
                    block = messages()
                    through.sendall(b"".join(block))
                    self.sent += len(block)
                    if read and select.select([through], [], [], 0)[0] and not through.recv(65536):
                        break
            time.sleep(0.001)


def old_steps(at: Attacker) -> None:
    at.pour(lambda: [answer(0)] * BLOCK)


def coming_steps(at: Attacker) -> None:
    at.pour(lambda: [answer(step) for step in range(at.sent, at.sent + BLOCK)])


def valid_steps(at: Attacker) -> None:
    """Answers each step as soon as it is told, like a weaver of no patience."""
    while at.on():
        with suppress(OSError), at.join() as through:
            through.settimeout(0.5)
            told = b""
            while at.on():
                if not (more := through.recv(65536)):
                    break
                told = (told + more)[-200_000:]
                if (place := told.rfind(b'"step":')) >= 0 and (digits := told[place + 7 :].split(b",")[0]).isdigit():
                    through.sendall(answer(int(digits)))
                    at.sent += 1
                    told = b""


def rubbish(at: Attacker) -> None:
    at.pour(lambda: [frame(at.chance.randbytes(40)) for _ in range(BLOCK)])


def switches(at: Attacker) -> None:
    at.pour(lambda: [frame(b'{"step":1,"switch":"f8","down":true}')] * BLOCK)


def huge_frames(at: Attacker) -> None:
    at.pour(lambda: [frame(bytes(1_000_000))])


def claimed_frames(at: Attacker) -> None:
    """A length of 2**62, and never so much."""
    at.pour(lambda: [frame(bytes(1000), told=2**62)])


def pieces(at: Attacker) -> None:
    """A message without end, in empty pieces."""
    at.pour(lambda: [frame(b"{", last=False), *[frame(b"", 0x0, last=False)] * 500])


def pings(at: Attacker) -> None:
    """Whose answers are never read."""
    at.pour(lambda: [frame(bytes(100), 0x9)] * BLOCK, read=False)


def slow_readers(at: Attacker) -> None:
    """As many as are let in, who take nothing."""
    while at.on():
        with suppress(OSError):
            kept = at.join()
            kept.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1024)
            at._open.append(kept)
        with suppress(OSError):
            for each in at._open:
                each.setblocking(False)
                each.sendall(answer(0))
                at.sent += 1
        time.sleep(0.01)


def half_open(at: Attacker) -> None:
    """Thousands that begin to say what they want."""
    while at.on():
        with suppress(OSError):
            kept = at.connect(0.5)
            kept.sendall(b"GET / HTTP/1.1\r\nHost: ")
            at._open.append(kept)
            at.sent += 1
        if len(at._open) > 500:
            at._open.pop(0).close()


def half_encrypted(at: Attacker) -> None:
    """Thousands that begin to agree on how to encrypt, or say something else there."""
    while at.on():
        with suppress(OSError):
            kept = at.call(0.5)
            kept.sendall(b"\x16\x03\x01\x02\x00\x01" if at.sent % 2 else b"GET / HTTP/1.1\r\n\r\n")
            at._open.append(kept)
            at.sent += 1
        if len(at._open) > 500:
            at._open.pop(0).close()


def callers(at: Attacker) -> None:
    """Connections that come and go, as fast as they can."""
    while at.on():
        with suppress(OSError):
            at.call(0.5).close()
            at.sent += 1


def without_key(at: Attacker) -> None:
    """Requests one behind the other, with keys that are guessed."""
    while at.on():
        with suppress(OSError), at.connect() as caller:
            for _ in range(BLOCK):
                caller.sendall(at.head(f"/{at.chance.randbytes(32).hex()[:43]}/") * 20)
                at.sent += 20
                if not caller.recv(65536):
                    break


def sockets_without_key(at: Attacker) -> None:
    while at.on():
        with suppress(OSError):
            at.join(f"/{at.chance.randbytes(32).hex()[:43]}/live").close()
        at.sent += 1


def bodies(at: Attacker) -> None:
    """Requests with the key, and a body without end."""
    while at.on():
        with suppress(OSError), at.connect() as caller:
            caller.settimeout(0.2)
            caller.sendall(at.head(at.address.path, "Content-Length: 99999999999"))
            while at.on():
                caller.sendall(bytes(65536))
                at.sent += 1


FLOODS = (
    *(old_steps, valid_steps, coming_steps, rubbish, switches, huge_frames, claimed_frames, pieces, pings),
    *(slow_readers, half_open, half_encrypted, callers, without_key, sockets_without_key, bodies),
)
STRANGERS = (half_open, half_encrypted, callers, without_key, sockets_without_key)  # who have no key


def flood(number: int, address: str, seconds: float, seed: str, told: object) -> None:
    """In a process of its own; says in the end what it did."""
    at = Attacker(urlsplit(address), time.monotonic() + seconds, Random(seed))
    with suppress(KeyboardInterrupt):
        FLOODS[number](at)
    told.send((at.sent, at.joined, at.refused))  # type: ignore[attr-defined]


@dataclass
class Loom:
    """A sitting whose keys are pressed, and answered in lines."""

    process: subprocess.Popen[bytes]
    address: str
    presses: int = 0

    def press(self) -> float | None:
        """Seconds until the helper has taken a key and shown it; None where it did not."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        key, shown = KEYS[self.presses % len(KEYS)]
        self.presses += 1
        began = time.monotonic()
        os.write(self.process.stdin.fileno(), f"{key}\n".encode())
        told = b""
        while shown.encode() not in told:
            left = began + 20 - time.monotonic()
            if left <= 0 or not select.select([self.process.stdout], [], [], left)[0]:
                return None
            if not (more := os.read(self.process.stdout.fileno(), 65536)):
                return None
            told += more
        return time.monotonic() - began

    def megabytes(self) -> float:
        pages = int(Path(f"/proc/{self.process.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


@contextmanager
def sitting(folder: Path, door: bytes) -> Iterator[Loom]:
    process = subprocess.Popen(
        [sys.executable, str(SHARING), "thread", "first-evening", "--share", "--plain", "--mute", "--deaf"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0,
        env=ENVIRONMENT | {"HEDDLECALL_DATA": str(folder), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        address = next(line for line in process.stdout if line.startswith(door)).removeprefix(door).decode().strip()
        yield Loom(process, address)
    finally:
        process.kill()
        process.communicate()


def pressed(loom: Loom, until: Callable[[int], bool]) -> list[float | None]:
    delays: list[float | None] = []
    while until(len(delays)):
        delays.append(loom.press())
        if delays[-1] is None:
            break
        time.sleep(PRESS_S)
    return delays


def in_ms(delays: list[float]) -> str:
    ordered = sorted(delays)
    half, most = (ordered[min(int(len(ordered) * part), len(ordered) - 1)] for part in (0.5, 0.99))
    return f"{half * 1000:.0f}/{most * 1000:.0f}/{ordered[-1] * 1000:.0f}"


def one_flood(number: int, door: str, loom: Loom, seed: str, seconds: float, tally: Tally) -> int:
    """Keys before it, and meanwhile; returns how many touches were to be obeyed at most."""
    name = f"{FLOODS[number].__name__}, {door}"
    before = [each for each in pressed(loom, lambda count: count < QUIET) if each is not None]
    weight = loom.megabytes()
    context = get_context("spawn")
    receiving, sending = context.Pipe(duplex=False)
    address = loom.address if FLOODS[number] not in STRANGERS else loom.address.rsplit("/", 2)[0] + "/"
    attacker = context.Process(target=flood, args=(number, address, seconds, seed, sending), daemon=True)
    attacker.start()
    began = time.monotonic()
    delays = pressed(loom, lambda _: attacker.is_alive() and time.monotonic() < began + 4 * seconds + 20)
    sent, joined, refused = receiving.recv() if receiving.poll(5) else (0, 0, 0)
    attacker.kill()
    attacker.join()
    grown = loom.megabytes() - weight
    meanwhile = [each for each in delays if each is not None]
    tally.took(max(meanwhile, default=0.0), loom.megabytes())
    tally.told.append(
        f"{name}: {sent:,} sent, {joined} let in, {refused} refused; a key took {in_ms(before)} ms before "
        f"and {in_ms(meanwhile)} ms meanwhile (half, 99 %, worst of {len(meanwhile)}); {grown:+.0f} MB"
    )
    late = sorted(meanwhile)[int(len(meanwhile) * 0.95)] if meanwhile else 99.0
    if None in delays or late > LATE_S + max(before):
        tally.found.append(f"{name}: a key came late, by {late:.2f} s")
    if grown > GROWN_MB:
        tally.found.append(f"{name}: the helper grew by {grown:.0f} MB")
    if FLOODS[number] in STRANGERS and joined:
        tally.found.append(f"{name}: got in without the key, {joined} times")
    return int(TOUCHED_AT_ONCE + TOUCHED_A_SECOND * (time.monotonic() - began))


def still_well(loom: Loom, folder: Path, most: int, name: str, tally: Tally) -> None:
    """A browser joins, the sitting ends, and no more was counted than hands can do."""
    friend = Attacker(urlsplit(loom.address), time.monotonic() + 15, Random(0))
    while friend.on() and not friend.joined:
        with suppress(OSError):
            friend.join().close()
        time.sleep(0.2)
    if not friend.joined:
        tally.found.append(f"{name}: no browser got in within 15 s afterwards")
    with ExitStack() as ends:
        ends.callback(loom.process.kill)
        out, _ = loom.process.communicate(b"q\n", timeout=30)
        if loom.process.returncode or b"Traceback" in out:
            tally.found.append(f"{name}: the sitting ended with exit code {loom.process.returncode}")
    with sqlite3.connect(folder / "journal.sqlite3") as journal:
        obeyed = journal.execute("SELECT count(*) FROM events WHERE source = 'page'").fetchone()[0]
        kept = journal.execute("SELECT count(*) FROM events WHERE kind IN ('where', 'note')").fetchone()[0]
    tally.told[-1] += f"; {obeyed} obeyed"
    if obeyed > most:
        tally.found.append(f"{name}: {obeyed} touches were obeyed, more than {most}")
    if kept != loom.presses:
        tally.found.append(f"{name}: {loom.presses} keys were pressed and {kept} kept")


def attack(wish: Wish, tally: Tally) -> None:
    if not sys.platform.startswith("linux"):
        raise CannotBeTried("how much memory a process holds is read from /proc")
    seconds = min(FLOOD_S, max(wish.seconds, 0.5))
    for number, chance in enumerate(wish.chances(tally)):
        which, door = number // len(DOORS) % len(FLOODS), list(DOORS)[number % len(DOORS)]
        with TemporaryDirectory() as folder, sitting(Path(folder), DOORS[door]) as loom:
            most = one_flood(which, door, loom, str(chance.random()), seconds, tally)
            still_well(loom, Path(folder), most, f"{FLOODS[which].__name__}, {door}", tally)


if __name__ == "__main__":
    run(__doc__, attack, tries=len(FLOODS) * len(DOORS), seconds=600)

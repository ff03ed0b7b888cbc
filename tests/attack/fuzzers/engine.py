"""Tries inputs by the thousand: each in a process that is bounded in time and memory, each again from its seed.

A Fuzzer makes inputs and tries them; an input that is not refused by a HeddlecallError of one line, nor taken within
the laws that the fuzzer holds it to, is a fault. `chunk` tries some of a fuzzer's inputs and tells what they came to.
"""

import mmap
import os
import pickle
import random
import resource
import shutil
import signal
import struct
import tempfile
import time
import traceback
import unicodedata
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
from pathlib import Path
from typing import NoReturn

from assistant.errors import HeddlecallError

MOST_S = 10.0  # of processor time that an input may take
MOST_WAITED_S = 120.0  # by the clock, however busy the machine: longer is waiting for something that does not come
MOST_MB = 400  # of memory in use, the program and all it has loaded included
MOST_ASKED_MB = 2_000  # of memory asked for; what asks for more gets a MemoryError
KINDS_SHOWN = 40  # of faults, in one chunk
IN_MEMORY = Path("/dev/shm")  # a folder that no disk holds up

_INDEX = struct.Struct("q")


class Broken(Exception):
    """A law that does not hold for an input."""


def law(holds: object, *told: object) -> None:
    """Raise Broken, with what is told, unless it holds."""
    if not holds:
        raise Broken(" ".join(map(str, told)))


@dataclass(frozen=True)
class Fuzzer:
    """One kind of input: `given` makes one from its own chance, `tried` tries one in an empty folder of its own.

    `tried` raises HeddlecallError for an input that is refused, Broken where a law does not hold, and anything else
    where there is a fault.
    """

    name: str
    share: int  # of a million inputs
    given: Callable[[random.Random], bytes]
    tried: Callable[[bytes], None]

    def at(self, seed: int, index: int) -> bytes:
        """The input of this number."""
        return self.given(random.Random(f"{self.name} {seed} {index}"))


@dataclass(frozen=True)
class Fault:
    """An input that went wrong, and how: `kind` is the same for inputs that go wrong in the same way."""

    fuzzer: str
    index: int
    kind: str
    told: str
    data: bytes = b""


@dataclass
class Came:
    """What some inputs came to."""

    tried: int = 0
    refused: int = 0
    seconds: float = 0.0
    slowest_s: float = 0.0
    slowest: int = -1  # its index
    most_mb: float = 0.0
    faults: list[Fault] = field(default_factory=list)

    def add(self, other: "Came") -> None:
        """Join what others came to."""
        self.tried += other.tried
        self.refused += other.refused
        self.seconds += other.seconds
        if other.slowest_s > self.slowest_s:
            self.slowest_s, self.slowest = other.slowest_s, other.slowest
        self.most_mb = max(self.most_mb, other.most_mb)
        self.faults += other.faults


def outcome(fuzzer: Fuzzer, data: bytes) -> tuple[bool, str, str]:
    """Try one input: whether it was taken, and the kind of fault and what is told of it, or "" for both."""
    try:
        fuzzer.tried(data)
    except HeddlecallError as refusal:
        wrong = unplain(str(refusal))
        return False, wrong and f"{wrong} in {_where(refusal)}", str(refusal)
    except Broken as broken:
        return False, f"law in {_where(broken, ours=False)}", str(broken)
    except KeyboardInterrupt:
        raise
    except BaseException as error:
        told = "".join(traceback.format_exception(error)[-3:])
        return False, f"{type(error).__name__} in {_where(error)}", told
    return True, "", ""


def unplain(line: str) -> str:
    """Why this is no plain line of text, or ""."""
    if not line.strip():
        return "an empty line"
    bad = next((c for c in line if unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp")), None)
    return "" if bad is None else f"U+{ord(bad):04X} in a line"


def _where(error: BaseException, *, ours: bool = True) -> str:
    """The innermost place in our own code."""
    frames = traceback.extract_tb(error.__traceback__)
    mine = [frame for frame in frames if f"{os.sep}assistant{os.sep}" in frame.filename] if ours else []
    frame = (mine or [frame for frame in frames if frame.name not in ("law", "outcome")] or frames)[-1]
    return f"{Path(frame.filename).stem}.{frame.name}:{frame.lineno}"


def chunk(fuzzer: Fuzzer, seed: int, first: int, count: int) -> Came:
    """Try inputs `first` to `first + count - 1`, each within the bounds."""
    whole = Came()
    at, end = first, first + count
    while at < end:
        tally, at = _in_a_process(fuzzer, seed, at, end)
        whole.add(tally)
    return whole


def _in_a_process(fuzzer: Fuzzer, seed: int, first: int, end: int) -> tuple[Came, int]:
    """What a process of its own made of the inputs, and the first that it has not tried."""
    shared = mmap.mmap(-1, _INDEX.size)
    into, out = os.pipe()
    where = IN_MEMORY if IN_MEMORY.is_dir() else None
    with tempfile.TemporaryDirectory(prefix="fuzz-", dir=where, ignore_cleanup_errors=True) as folder:
        child = os.fork()
        if not child:
            os.close(into)
            _in_the_child(fuzzer, seed, first, end, Path(folder), shared, out)
        os.close(out)
        try:
            with os.fdopen(into, "rb") as told:
                content = told.read()
        except KeyboardInterrupt:
            os.kill(child, signal.SIGKILL)
            raise
        finally:
            _, status = os.waitpid(child, 0)
    (at,) = _INDEX.unpack(shared[:])
    if content and not os.WIFSIGNALED(status):
        return pickle.loads(content), at + 1
    ended = _ended(status)
    return Came(tried=at + 1 - first, faults=[Fault(fuzzer.name, at, ended, ended)]), at + 1


def _ended(status: int) -> str:
    if not os.WIFSIGNALED(status):
        return f"the process left with {os.waitstatus_to_exitcode(status)}"
    number = os.WTERMSIG(status)
    known = {
        signal.SIGPROF: f"more than {MOST_S:g} s of processor time",
        signal.SIGALRM: f"waits for more than {MOST_WAITED_S:g} s",
    }
    return known.get(signal.Signals(number), f"killed by {signal.Signals(number).name}")


def _in_the_child(
    fuzzer: Fuzzer, seed: int, first: int, end: int, folder: Path, shared: mmap.mmap, out: int
) -> NoReturn:
    code, shown = 1, os.fdopen(os.dup(2), "w")
    try:
        bounded(folder)
        os.dup2(os.memfd_create("what libraries print"), 2)
        tally = Came()
        for index in range(first, end):
            shared[:] = _INDEX.pack(index)
            _one(fuzzer, seed, index, folder, tally)
            if tally.most_mb > MOST_MB or len(tally.faults) >= KINDS_SHOWN:
                break
        with os.fdopen(out, "wb") as told:
            told.write(pickle.dumps(tally))
        code = 0
    except KeyboardInterrupt:
        pass  # whoever began it tells
    except BaseException:
        traceback.print_exc(file=shown)
        shown.flush()
    finally:
        os._exit(code)


def bounded(folder: Path) -> None:
    """Bound this process, and let it keep everything in the folder."""
    warnings.simplefilter("ignore")
    for stop in (signal.SIGPROF, signal.SIGALRM):
        signal.signal(stop, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_ASKED_MB << 20, MOST_ASKED_MB << 20))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    for name in ("HEDDLECALL_DATA", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        os.environ[name] = str(folder / "kept")
    os.chdir(folder)


def _one(fuzzer: Fuzzer, seed: int, index: int, folder: Path, tally: Came) -> None:
    data = fuzzer.at(seed, index)
    _empty(folder)
    began = time.process_time()
    _clocks(MOST_S, MOST_WAITED_S)
    taken, kind, told = outcome(fuzzer, data)
    _clocks(0, 0)
    took = time.process_time() - began
    os.chdir(folder)
    tally.tried += 1
    tally.refused += not taken and not kind
    tally.seconds += took
    if took > tally.slowest_s:
        tally.slowest_s, tally.slowest = took, index
    tally.most_mb = max(tally.most_mb, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    if os.fstat(2).st_size:
        kind, told = kind or "printed past the program", told or os.pread(2, 200, 0).decode(errors="replace")
        os.ftruncate(2, os.lseek(2, 0, os.SEEK_SET))
    if not kind and tally.most_mb > MOST_MB:
        kind, told = f"more than {MOST_MB} MB", f"{tally.most_mb:.0f} MB"
    if kind and all(kind != fault.kind for fault in tally.faults):
        tally.faults.append(Fault(fuzzer.name, index, kind, told, data))


def _empty(folder: Path) -> None:
    with os.scandir(folder) as places:
        for place in places:
            if place.is_dir(follow_symlinks=False):
                shutil.rmtree(place.path, ignore_errors=True)
            else:
                os.unlink(place.path)


def _clocks(worked: float, waited: float) -> None:
    signal.setitimer(signal.ITIMER_PROF, worked)
    signal.setitimer(signal.ITIMER_REAL, waited)


def same_fault(fuzzer: Fuzzer, kind: str) -> Callable[[bytes], bool]:
    """Whether an input goes wrong in this way, tried in a process of its own."""

    def wrong(data: bytes) -> bool:
        tally = chunk(Fuzzer(fuzzer.name, 1, lambda chance: data, fuzzer.tried), 0, 0, 1)
        return any(fault.kind == kind for fault in tally.faults)

    return wrong


def minimised(fails: Callable[[bytes], bool], data: bytes, patience: int = 120) -> bytes:
    """A part of the input that fails still, found in at most `patience` tries (Zeller's ddmin, 2002).

    Returns the input itself where it does not fail again.
    """
    if not fails(data):
        return data
    parts, left = 2, patience
    while len(data) > 1 and left > 0:
        size = -(-len(data) // parts)
        for at in range(0, len(data), size):
            left -= 1
            shorter = data[:at] + data[at + size :]
            if left >= 0 and fails(shorter):
                data, parts = shorter, max(parts - 1, 2)
                break
        else:
            if size == 1:
                break
            parts = min(len(data), parts * 2)
    return data


def shares(fuzzers: Sequence[Fuzzer], inputs: int, turns: int) -> Iterator[tuple[Fuzzer, int, int]]:
    """All chunks, by turns among the fuzzers: the fuzzer, the first input and how many."""
    whole = sum(fuzzer.share for fuzzer in fuzzers)
    ends = [inputs * share // whole for share in accumulate(fuzzer.share for fuzzer in fuzzers)]
    wanted = [end - begin for begin, end in pairwise([0, *ends])]
    for turn in range(turns):
        for fuzzer, count in zip(fuzzers, wanted, strict=True):
            first, last = count * turn // turns, count * (turn + 1) // turns
            if last > first:
                yield fuzzer, first, last - first

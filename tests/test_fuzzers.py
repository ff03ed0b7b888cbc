"""Every fuzzer of tests/attack makes inputs that are refused in one line or taken, and sees what goes wrong."""

import subprocess
import sys
from pathlib import Path

ATTACK = Path(__file__).parent / "attack"


def attacked(code: str) -> str:
    """What a piece of code prints, run as an attack would run it."""
    done = subprocess.run([sys.executable, "-c", code], cwd=ATTACK, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_each_fuzzer_tries_a_few_and_finds_nothing() -> None:
    told = attacked(
        "import frame, fuzz\n"
        "from fuzzers.engine import chunk\n"
        "for each in fuzz.FUZZERS:\n"
        "    came = chunk(each, 1, 0, 2 if each.share < 5000 else 12)\n"
        "    print(each.name, came.tried, [(fault.kind, fault.told) for fault in came.faults])\n"
    )
    assert [line for line in told.splitlines() if not line.endswith("[]")] == []
    assert len(told.splitlines()) > 20


def test_what_goes_wrong_is_found_as_small_as_it_fails() -> None:
    told = attacked(
        "import frame, signal\n"
        "from fuzzers.engine import Fuzzer, chunk, law, minimised, same_fault\n"
        "def tried(data):\n"
        "    if b'x' in data and b'y' in data:\n"
        "        raise KeyError\n"
        "    law(b'z' not in data, 'a z')\n"
        "    while b'w' in data:\n"
        "        pass\n"
        "    b'm' in data and bytearray(500 << 20)\n"
        "    b'q' in data and signal.raise_signal(signal.SIGKILL)\n"
        "import fuzzers.engine as engine\n"
        "engine.MOST_WAITED_S = 600.0\n"
        "for data in (b'aaxaaaaaayaa', b'bbbzb', b'w', b'nnm', b'q', b'good'):\n"
        "    engine.MOST_S = 1.0 if data == b'w' else 600.0  # which no other comes near, however slow the machine\n"
        "    fuzzer = Fuzzer('odd', 1, lambda chance: data, tried)\n"
        "    faults = chunk(fuzzer, 1, 0, 2).faults\n"
        "    kinds = sorted({fault.kind.partition(' in ')[0] for fault in faults})\n"
        "    print(kinds, minimised(same_fault(fuzzer, faults[0].kind), data) if faults else b'')\n"
    )
    assert told.splitlines() == [
        "['KeyError'] b'xy'",
        "['law'] b'z'",
        "['more than 1 s of processor time'] b'w'",
        "['more than 400 MB'] b'm'",
        "['killed by SIGKILL'] b'q'",
        "[] b''",
    ]

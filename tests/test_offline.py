"""Nothing leaves the machine, and nothing is left behind but in folders of ours and where it was asked for."""

from pathlib import Path

import pytest
from alone import WHY_NOT, Hermitage, can_be_apart

SPEAKS = """
import sys, time
from assistant.rehearsal.weaver_voice import open_voice
for name in ("joe", "hibari"):
    open_voice(name, "en-us").say("even")
time.sleep(float(sys.argv[1]))
"""
LOOKS_UP_S = 9.0  # by then onnxruntime 1.32, left to itself, has asked the name server for its collector, after 7 s


@pytest.mark.skipif(not can_be_apart(), reason=WHY_NOT)
def test_whatever_asks_the_network_is_counted(tmp_path: Path) -> None:
    native = "import ctypes; ctypes.CDLL(None).gethostbyname(b'loom.example')"
    hermitage = Hermitage(tmp_path)
    assert hermitage.run("-c", native).asked > 0
    assert hermitage.run("-c", "import socket; socket.gethostname()").asked == 0


def test_the_neural_voices_tell_nobody_and_leave_nothing(tmp_path: Path) -> None:
    hermitage = Hermitage(tmp_path)
    done = hermitage.run("-c", SPEAKS, str(LOOKS_UP_S))
    assert (done.code, done.error, done.called, done.asked) == (0, "", [], 0)
    assert hermitage.left() == set()

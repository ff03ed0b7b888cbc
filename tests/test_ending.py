"""Asked to end: by Ctrl-C, by the system, by a terminal that is closed. Real processes, in terminals of their own."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from terminals import in_terminal
from waiting import wait

from assistant.session.events import Kind
from assistant.session.history import BESIDE
from assistant.session.journal import Journal

pytest.importorskip("pty", reason="Windows has no terminals of this kind")

PATIENCE = 60
RUNNER = "{title: Runner, shafts: 4, groups: [{name: edge, thread: 1 2 1 2}, {name: body, thread: 1 2 3 4}]}"
LEFT = [Kind.SIT_DOWN, Kind.NEXT, Kind.LEAVE]


class AtTheLoom:
    """A sitting in a terminal, of which it is the session's leader or not."""

    def __init__(self, folder: Path, *options: str, its_own: bool = True) -> None:
        self.data, self.file = folder / "data", folder / "runner.yaml"
        self.file.write_text(RUNNER)
        takes = "import fcntl, termios; fcntl.ioctl(0, termios.TIOCSCTTY, 0); " if its_own else ""
        begins = f"{takes}import sys; from assistant.__main__ import main; sys.exit(main())"
        command = [sys.executable, "-c", begins, "thread", str(self.file), "--mute", "--deaf", *options]
        env = os.environ | {"HEDDLECALL_DATA": str(self.data), "TERM": "xterm-256color"}
        self.process, self._end = in_terminal(command, env)
        os.set_blocking(self._end, False)

    def happened(self) -> list[Kind]:
        self.read()
        path = self.data / "journal.sqlite3"
        if not path.exists():
            return []
        with Journal(path) as journal:
            all_of_them = (event.kind for record in journal.records(self.file) for event in journal.events(record))
            return [kind for kind in all_of_them if kind not in BESIDE]

    def read(self) -> None:
        try:
            while os.read(self._end, 65536):
                pass
        except OSError:
            pass

    def type(self, keys: str) -> None:
        os.write(self._end, keys.encode())

    def sits(self) -> None:
        assert wait(lambda: self.happened() == [Kind.SIT_DOWN], PATIENCE)

    def hang_up(self) -> None:
        os.close(self._end)
        self._end = -1

    def code(self) -> int:
        def ended() -> bool:
            self.read()
            return self.process.poll() is not None

        assert wait(ended, PATIENCE), "it lives on"
        return self.process.returncode

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        if self._end >= 0:
            os.close(self._end)


@pytest.fixture(params=[(), ("--plain",), ("--page",)], ids=["board", "plain", "page"])
def options(request: pytest.FixtureRequest) -> tuple[str, ...]:
    chosen: tuple[str, ...] = request.param
    return chosen


@pytest.fixture(params=["SIGHUP", "closed", "closed without a signal"])
def loom(request: pytest.FixtureRequest, tmp_path: Path, options: tuple[str, ...]) -> Iterator[AtTheLoom]:
    loom = AtTheLoom(tmp_path, *options, its_own=request.param != "closed without a signal")
    if "--page" in options:
        loom.type("\n")  # its address was read
    loom.sits()
    loom.type("n\n" if "--plain" in options else "n")
    assert wait(lambda: loom.happened() == LEFT[:2], PATIENCE)
    if request.param == "SIGHUP":
        loom.process.send_signal(signal.SIGHUP)
    else:
        loom.hang_up()
    yield loom
    loom.close()


def test_a_terminal_that_is_gone_ends_the_sitting_in_order(loom: AtTheLoom) -> None:
    """It lived on at more than half of a core, holding the lock, or ended without a word in the record."""
    assert loom.code() == 0
    assert loom.happened() == LEFT
    assert not [*loom.data.glob("*.window")]


ASKED = """
import os, signal, sys, time
from assistant import ending

def asked(code=ending.SIGNALS):
    os.kill(os.getpid(), signal.{signal})
    time.sleep(0.05)

def main():
    {does}
    return 0

sys.exit(ending.run(lambda: main))
"""


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.parametrize(
    ("does", "code"),
    [
        ("asked()", 130),
        ("asked(), asked()", 130),
        ("[asked() for _ in range(9)]", 130),
        ("import atexit; atexit.register(asked)", 130),
        ("type('Deaf', (), {'__del__': lambda self: asked()})(); time.sleep(60)", 130),  # where none can be raised
        ("exec('try: asked()\\nexcept BaseException: raise ImportError')", 130),  # as numpy does when it is imported
        ("print('x' * 100000)", 0),
        ("sys.exit(2)", 2),
    ],
)
def test_asked_to_end_there_is_no_traceback_and_no_other_exit_code(name: str, does: str, code: int) -> None:
    script = ASKED.format(signal=name, does=does)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60, check=False)
    assert done.stderr == ""
    assert done.returncode in ((0, 130) if "atexit" in does else (code,))


def test_what_is_printed_to_nobody_is_no_fault(tmp_path: Path) -> None:
    for command in (("--help",), ("log",), ("models",)):
        reader, writer = os.pipe()
        os.close(reader)
        env = os.environ | {"HEDDLECALL_DATA": str(tmp_path)}
        ran = [sys.executable, "-m", "assistant", *command]
        done = subprocess.run(ran, stdout=writer, stderr=subprocess.PIPE, env=env, text=True, timeout=60, check=False)
        os.close(writer)
        assert "Traceback" not in done.stderr
        assert "Exception ignored" not in done.stderr
        assert done.returncode in (0, 2), command


def test_interrupted_while_it_starts_it_says_nothing(tmp_path: Path) -> None:
    """Whatever is being imported at that moment; asked again at once, too."""
    for after in (0.05, 0.15, 0.3):
        env = os.environ | {"HEDDLECALL_DATA": str(tmp_path)}
        begun = "import sys, assistant.__main__ as our; print('begun', flush=True); sys.exit(our.main())"
        command = [
            sys.executable,
            "-c",
            begun,
            "rehearse",
            "hearth-runner",
            "--mistakes-per-1000",
            "9",
            "--runs",
            "999",
        ]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=env, text=True)
        assert process.stdout
        assert process.stdout.readline() == "begun\n"
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(after)
        process.send_signal(signal.SIGINT)
        process.send_signal(signal.SIGINT)
        _, complaints = process.communicate(timeout=60)
        assert "Traceback" not in complaints
        assert process.returncode in (0, 2, 130, -signal.SIGINT), complaints

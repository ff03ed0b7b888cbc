"""PipeWire in the place of PulseAudio: a sound server of our own with the same cable."""

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import cable
from cable import CABLE, environment, running, sound_server
from waiting import wait

NEEDED = ("dbus-daemon", "pipewire", "wireplumber", "pipewire-pulse", "pactl", "parec", "paplay")
MISSING = [program for program in NEEDED if shutil.which(program) is None]


@contextmanager
def pipewire(folder: Path) -> Iterator[dict[str, str]]:
    """The environment of its users; its files lie in the folder."""
    bus, run = folder / "bus", folder / "run"
    env = environment(folder) | {
        "XDG_RUNTIME_DIR": str(run),
        "XDG_STATE_HOME": str(folder / "state"),
        "DBUS_SESSION_BUS_ADDRESS": f"unix:path={bus}",
        "PULSE_SERVER": f"unix:{run / 'native'}",
    }
    run.chmod(0o700)
    daemon = ("dbus-daemon", "--session", "--nofork", "--nopidfile", f"--address=unix:path={bus}")
    with ExitStack() as stack:
        for command, made in (
            (daemon, bus),
            (("pipewire",), run / "pipewire-0"),
            (("wireplumber",), run),
            (("pipewire-pulse",), run / "native"),
        ):
            stack.enter_context(running(*command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL))
            assert wait(made.exists), f"{command[0]} does not start"
        load = ("pactl", "load-module", *CABLE.split())
        assert wait(lambda: subprocess.run(load, env=env, capture_output=True, check=False).returncode == 0)
        yield env


SERVERS = {"PulseAudio": (sound_server, cable.MISSING), "PipeWire": (pipewire, MISSING)}  # and what either lacks

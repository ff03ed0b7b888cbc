"""The echo canceller of PulseAudio or PipeWire: a microphone in which the loudspeaker is hardly to be heard."""

import os
import subprocess

from assistant.errors import DeviceMissing

DEVICE = "pulse"  # as PortAudio names the way to the sound server, which takes its devices from the environment
SWITCH_ON = (
    "pactl load-module module-echo-cancel aec_method=webrtc "
    "aec_args='\"analog_gain_control=0 digital_gain_control=0\"'"  # else it turns the microphone up and down by itself
)


def use_echo_canceller() -> None:
    """Let PortAudio, if it is loaded after this, find it as DEVICE. Raises DeviceMissing where none is switched on."""
    source, sink = (canceller(_listed(what)) for what in ("sources", "sinks"))
    if not (source and sink):
        raise DeviceMissing(f"no echo canceller is switched on; switch it on with: {SWITCH_ON}")
    os.environ |= {"PULSE_SOURCE": source, "PULSE_SINK": sink}


def canceller(listed: str) -> str | None:
    """The name of the canceller's own source or sink among those that `pactl list short` lists."""
    for line in listed.splitlines():
        _, name, driver, *_ = [*line.split("\t"), "", ""]
        if "echo-cancel" in name + driver and not name.endswith(".monitor"):
            return name
    return None


def _listed(what: str) -> str:
    try:
        return subprocess.run(["pactl", "list", "short", what], capture_output=True, text=True, check=True).stdout
    except (OSError, subprocess.CalledProcessError) as error:
        raise DeviceMissing(
            "no echo canceller without PulseAudio or PipeWire and pactl (Debian, Ubuntu: sudo apt install "
            "pulseaudio-utils); leave out --echo-canceller"
        ) from error

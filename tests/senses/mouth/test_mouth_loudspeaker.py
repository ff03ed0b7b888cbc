"""The loudspeaker that is not there, is lost, or has not fallen silent yet."""

import subprocess
import sys

import pytest

from assistant.errors import DeviceMissing
from assistant.senses.mouth.loudspeaker import Loudspeaker
from assistant.senses.portaudio import LOST_AFTER_S, WAKES_WITHIN_S, Heartbeat, lasting


def test_a_device_is_lost_when_it_asks_for_no_more_blocks() -> None:
    heartbeat = Heartbeat(now=100.0)
    heartbeat.block(101.0, 0.07, sounding=False)
    assert heartbeat.awake
    assert heartbeat.alive(101.0 + LOST_AFTER_S - 0.01)
    assert not heartbeat.alive(101.0 + LOST_AFTER_S)


def test_a_device_just_opened_may_take_its_time() -> None:
    heartbeat = Heartbeat(now=100.0)
    heartbeat.block(100.01)  # its buffers are filled
    assert not heartbeat.awake
    assert heartbeat.alive(100.0 + WAKES_WITHIN_S - 0.01)
    assert not heartbeat.alive(100.0 + WAKES_WITHIN_S)


def test_a_device_chosen_by_its_number_is_found_again_under_another() -> None:
    """ALSA's names end in the place: card and device."""
    assert lasting(4, {"name": "USB Headset: Audio (hw:2,0)"}) == "USB Headset: Audio"
    assert lasting("headset", {"name": "USB Headset: Audio (hw:2,0)"}) == "headset"
    assert lasting(None, {"name": "default"}) is None


def test_sound_is_heard_until_the_last_block_has_left_the_device() -> None:
    heartbeat = Heartbeat(now=100.0)
    assert not heartbeat.sounding(100.0)
    heartbeat.block(100.1, 0.07, sounding=True)
    heartbeat.block(100.123, 0.07, sounding=False)
    assert heartbeat.sounding(100.169)
    assert not heartbeat.sounding(100.171)


def test_a_device_of_an_unknown_name_is_told_at_once() -> None:
    with pytest.raises(DeviceMissing, match=r"no loudspeaker|no sound without PortAudio") as raised:
        Loudspeaker("no such loudspeaker")
    assert "\n" not in str(raised.value)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere PortAudio comes with sounddevice")
def test_without_portaudio_it_says_what_to_install() -> None:
    program = (
        "import ctypes.util, os\n"
        "ctypes.util.find_library = lambda name: None\n"
        "from assistant.errors import DeviceMissing\n"
        "from assistant.senses.mouth.loudspeaker import Loudspeaker\n"
        "try: Loudspeaker()\n"
        "except DeviceMissing as error: print(error)\n"
    )
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert said.startswith("no sound without PortAudio; install PortAudio")
    assert "libportaudio2" in said

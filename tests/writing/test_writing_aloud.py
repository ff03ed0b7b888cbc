"""A threading is written in by real sound: PulseAudio's null sink is the cable from a voice to the microphone."""

import subprocess
from pathlib import Path

import numpy as np
import pytest
import soundfile
from cable import MISSING, in_a_terminal, sound_server
from waiting import wait

from assistant.errors import DeviceMissing
from assistant.rehearsal.weaver_voice import open_voice
from assistant.senses.sound import EAR_RATE
from assistant.warp.sequence import load

pytestmark = pytest.mark.skipif(bool(MISSING), reason=f"no cable without {', '.join(MISSING)}: apt install pulseaudio")

SAID = ("one, four", "back", "one, two", "that again, three", "new group", "mirror", "finished")
PAUSE_S = 0.55


def test_a_threading_is_said_and_comes_out_as_it_was_said(tmp_path: Path) -> None:
    try:
        voice = open_voice("hibari", "en-us")
    except DeviceMissing as missing:
        pytest.skip(str(missing))
    pause, said = np.zeros(round(PAUSE_S * EAR_RATE), np.int16), tmp_path / "said.wav"
    file, seen = tmp_path / "rug.yaml", bytearray()
    options = ("--shafts", "4", "--start", "right", "--mute", "--language", "en")
    with sound_server(tmp_path) as env, in_a_terminal(env, "write", str(file), *options, seen=seen) as (process, _):

        def speak(*texts: str) -> None:
            spoken = [part for text in texts for part in (voice.say(text, 2), pause)]
            soundfile.write(said, np.concatenate([pause, pause, *spoken]), EAR_RATE)
            subprocess.run(["paplay", "--device=cable", str(said)], env=env, check=True)

        assert wait(lambda: b"The next row." in seen, 30)
        speak(*SAID)
        assert wait(lambda: b"say finished once more" in seen, 5)
        speak("finished")
        assert wait(lambda: process.poll() is not None, 10)
    assert [end.shafts[0] for end in load(file).every_end()] == [1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1]

"""List the voices, or try one: through the loudspeaker or into a file."""

import io
import time
from contextlib import closing
from pathlib import Path

import soundfile

from assistant.errors import DeviceLost, DeviceMissing, SoundFileError
from assistant.files import write_whole
from assistant.senses.mouth import SPEED, VOLUME
from assistant.senses.mouth.cable import Cable
from assistant.senses.mouth.loudspeaker import Loudspeaker
from assistant.senses.mouth.player import RATE, Samples
from assistant.senses.mouth.voicebox import voices
from assistant.session.events import Part, Say
from assistant.words.language import load
from assistant.words.phrases import Phrases

SAMPLE = "1, 2, 3, 4"  # every voice reads figures in its own language


def speak(
    voice: str | None = None,
    text: str | None = None,
    *,
    speed: int = SPEED,
    volume: int = VOLUME,
    out: Path | None = None,
    device: str | int | None = None,
) -> list[str]:
    """The voices, a line each, when neither a voice nor a text is given; else say the text, or write it to a WAV file.

    Raises DeviceMissing, DeviceLost, SoundFileError.
    """
    if voice is None and text is None:
        return [f"{each.id:<24} {each.language:<16} {each.name}" for each in voices()]
    say = Say((Part(text or SAMPLE),))
    if out:
        with closing(Cable(voice, speed=speed, volume=volume)) as cable:
            cable.utter([say])
            write(out, cable.rest())
            trouble = cable.trouble
    else:
        with closing(Loudspeaker(voice, speed=speed, volume=volume, device=device)) as loudspeaker:
            loudspeaker.utter([say])
            wait(loudspeaker)
            trouble = loudspeaker.trouble
    if trouble:
        english = load("en").phrases
        raise DeviceMissing(Phrases(english, english).told(trouble))
    return []


def wait(loudspeaker: Loudspeaker) -> None:
    """Until all is said. Raises DeviceLost."""
    while loudspeaker.speaking():
        if not loudspeaker.alive():
            raise DeviceLost("the loudspeaker went away; plug it in again")
        time.sleep(0.05)


def write(out: Path, samples: Samples) -> None:
    """A WAV file of 16 bits, one channel."""
    sound = io.BytesIO()
    soundfile.write(sound, samples, RATE, format="WAV", subtype="PCM_16")
    try:
        write_whole(out, sound.getvalue())
    except OSError as error:
        raise SoundFileError(f"{out}: cannot be written ({error.strerror}); choose another place") from error

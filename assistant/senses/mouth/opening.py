"""The mouth that can be had."""

from assistant.errors import DeviceMissing, VoiceMissing
from assistant.senses.mouth import LOUDEST, Mouth, SilentMouth
from assistant.senses.mouth.loudspeaker import Loudspeaker


def open_mouth(
    usual: str, voice: str | None, loudspeaker: str | int | None, speed: int, volume: int, loudest: int = LOUDEST
) -> tuple[Mouth, str]:
    """A loudspeaker; or silence, with the reason, where there is none. `usual` is the voice where none was asked for.

    Raises DeviceMissing for a voice or a loudspeaker that was asked for and is not there.
    """
    try:
        return Loudspeaker(voice or usual, device=loudspeaker, speed=speed, volume=volume, loudest=loudest), ""
    except DeviceMissing as missing:
        wished = voice if isinstance(missing, VoiceMissing) else loudspeaker
        if wished is not None:
            raise
        return SilentMouth(), f"silent: {missing}"

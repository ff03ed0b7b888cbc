"""What is wrong with what the microphone brings in, and what to do about it. Pure."""

from enum import StrEnum

from assistant.senses.ear.room import DEAD_AFTER_S, SILENT_DB, STILL, Measures


class Fault(StrEnum):
    """What is wrong, the gravest first."""

    WRONG = "wrong"
    DEAD = "dead"
    STUCK = "stuck"
    CLIPPED = "clipped"
    HUM = "hum"
    NOISY = "noisy"
    FAINT = "faint"
    MISHEARD = "misheard"


GATED_DEAD_AFTER_S = 60.0  # where the microphone itself falls still between words, as some headsets do
CLIPPED_SHARE = 0.01  # a clean voice never reaches full scale; common practice, no source
HUM_SHARE, HUM_DB = 0.5, -55.0  # most of what is heard, and loud enough to be in the way
LOUD_ROOM_DB = -35.0  # from here on a room without a voice is called noisy; common practice, no source
NEAR_NOISE_DB = 15.0  # a word is found 12 dB above the noise, and its soft sounds need some more
FAINT_DB = -48.0  # the soft ends of words, 20 to 30 dB down, are lost below the least noise assumed, -72
LEAST_UNCLEAR = 3

GRAVE = {  # what a sitting begins with a warning about, and the phrase that is spoken
    Fault.WRONG: "microphone wrong",
    Fault.DEAD: "microphone dead",
    Fault.STUCK: "microphone dead",
    Fault.CLIPPED: "microphone clipped",
}
SOUNDLESS = (Fault.DEAD, Fault.STUCK)
WELL = "microphone well"  # what is spoken when it gives sound again

ADVICE = {
    Fault.WRONG: "it hears only the helper's own voice: the wrong one; choose another with --microphone",
    Fault.DEAD: "no sound at all: it is muted, switched off or the wrong one; unmute it, or choose with --microphone",
    Fault.STUCK: "no sound, only a constant value: unplug it and plug it in again, or choose with --microphone",
    Fault.CLIPPED: "too loud, the voice is cut off: turn its gain down, or move it away",
    Fault.HUM: "it hums: try another cable or socket, and keep it away from power supplies",
    Fault.NOISY: "the room is nearly as loud as the voice: bring it nearer to your mouth, or use a headset",
    Fault.FAINT: "the voice is faint: bring it nearer to your mouth, or turn its gain up",
    Fault.MISHEARD: "many words are not understood: say each alone with a pause before it, or teach it your words",
}


def faults(room: Measures) -> list[Fault]:
    """What is wrong in this room, the gravest first; where nothing comes in, nothing else can be told."""
    still = room.still_s >= (GATED_DEAD_AFTER_S if room.gates else DEAD_AFTER_S)
    if room.own is not None:
        return [Fault.WRONG]
    if still:
        return [Fault.STUCK if abs(room.offset) > STILL else Fault.DEAD]
    distance, noise = room.distance, SILENT_DB if room.noise is None else room.noise
    wrong = {
        Fault.CLIPPED: room.clipped > CLIPPED_SHARE,
        Fault.HUM: room.hum > HUM_SHARE and noise > HUM_DB,
        Fault.NOISY: distance < NEAR_NOISE_DB if distance is not None else noise > LOUD_ROOM_DB,
        Fault.FAINT: room.voice is not None and room.voice < FAINT_DB,
        Fault.MISHEARD: room.unclear >= LEAST_UNCLEAR and room.unclear > room.heard,
    }
    return [fault for fault, there in wrong.items() if there]

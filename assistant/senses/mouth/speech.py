"""Say and Sound -> samples, in one voice and at one speed at a time."""

from collections.abc import Iterable

from assistant.senses.mouth.clips import Shelf, clean
from assistant.senses.mouth.joining import Clip, beat_of, join
from assistant.senses.mouth.player import SILENCE, Samples
from assistant.senses.mouth.tones import stand_in, tone
from assistant.senses.mouth.voicebox import Voice, Voicebox, no_sound
from assistant.session.events import Part, Say, Sound


class Speech:
    """Holds the clips of one voice.

    Every part on the beat that it knows has a share in the beat, so that the rhythm is the same from the first
    call to the last: parts on the beat can be said once all of them are rendered.
    """

    def __init__(self, box: Voicebox, voice: Voice, shelf: Shelf, speed: int):
        self.speed = speed
        self._box, self._voice, self._shelf = box, voice, shelf
        self._clips: dict[tuple[int, str], Samples] = {}
        self._beats: dict[str, None] = {}  # an ordered set

    def learn(self, parts: Iterable[Part]) -> None:
        """Let those of these that are on the beat have a share in it."""
        self._beats |= {part.text: None for part in parts if part.beat}

    def lacks(self, texts: Iterable[str]) -> str | None:
        """The first of these that has no clip at this speed."""
        return next((text for text in texts if self._clip(text) is None), None)

    def needs(self, sound: Say | Sound) -> list[str]:
        """The texts whose clips are waited for before this is said."""
        if isinstance(sound, Sound):
            return []
        on_beat = any(part.beat for part in sound.parts)
        return [part.text for part in sound.parts] + (list(self._beats) if on_beat else [])

    def render(self, text: str, speed: int) -> Samples:
        """The clip of a text, from the shelf or from the engine. Changes nothing here. Raises DeviceMissing."""
        if not text.strip():
            return SILENCE
        clip = self._shelf.find(text, speed)
        if clip is None:
            clip = clean(self._box.render(text, self._voice.id, speed))
            if not len(clip) and any(letter.isalnum() for letter in text):
                raise no_sound(text, self._voice.id)
            self._shelf.keep(text, speed, clip)
        return clip

    def hold(self, text: str, speed: int, clip: Samples) -> None:
        """Have this clip at hand."""
        self._clips[speed, text] = clip

    def samples(self, sound: Say | Sound) -> Samples:
        """What is heard; a part whose clip is not at hand is heard as the stand-in."""
        if isinstance(sound, Sound):
            return tone(sound.tone)
        beat = beat_of([clip for text in self._beats if (clip := self._clip(text)) is not None])
        spoken = ((part, self._clip(part.text)) for part in sound.parts)
        return join([Clip(stand_in() if clip is None else clip, part.beat) for part, clip in spoken], beat)

    def _clip(self, text: str) -> Samples | None:
        return self._clips.get((self.speed, text))

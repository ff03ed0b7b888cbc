"""Every failure a weaver can meet, each with one clear line to read.

An error is raised with an English sentence, and what its {places} hold: `PlanError("there is no dent {dent}", dent=9)`.
The sentence is the key of the same in other languages, under `errors` in their files; a text that the weaver wrote, a
file's name, or another error's Tell goes into a place, never into the sentence.
"""

from typing import Any

from assistant.meaning import Tell


class HeddlecallError(Exception):
    """The base: `str(error)` is one English line that says what is wrong and what to do; `tell`, that in any language.

    Each is raised with a sentence and its places, or with a Tell that has both.
    """

    def __init__(self, sentence: str | Tell, /, **places: Any):
        self.tell = _told(sentence, places)
        super().__init__(str(self.tell))


class _Placed(HeddlecallError):
    """Something wrong at a place in a file: what, and what to do, two sentences that draw on the same places.

    `line` and `column` count from 1, in characters; 0 where no place can be named.
    """

    def __init__(
        self,
        what: str | Tell,
        todo: str | Tell = "",
        /,
        *,
        file: str = "",
        line: int = 0,
        column: int = 0,
        **places: Any,
    ):
        self.what, self.todo = _told(what, places), _told(todo, places)
        self.file, self.line, self.column = file, line, column
        at = ":".join(str(part) for part in (file, line, column) if part)
        told = Tell("{what}; {todo}", what=self.what, todo=self.todo) if todo else self.what
        super().__init__(Tell("{at}: {line}", at=at, line=told) if at else told)


def _told(sentence: str | Tell, places: dict[str, Any]) -> Tell:
    return sentence if isinstance(sentence, Tell) else Tell(sentence, **places)


def refusal(error: OSError) -> Tell:
    """Why the system would not: its own words, which are a sentence of the language files where they are common."""
    return Tell(error.strerror or str(error))


class NotPlain(OSError):
    """A pipe, a socket or a device where a plain file is read; `refusal` tells it like what the system says."""


class SequenceError(_Placed):
    """A sequence file, or a piece of notation, that cannot be read."""


class DraftError(_Placed):
    """A draft that cannot be read or written."""


class LanguageError(HeddlecallError):
    """A language that is not there, or whose file lacks a word or phrase."""


class FolderError(HeddlecallError):
    """A folder for what is kept, that another user made."""


class JournalError(HeddlecallError):
    """The journal is locked, full, damaged or does not fit the warp; what it held is left untouched."""


class PackError(HeddlecallError):
    """A warp that cannot be packed, or a packed one that cannot be taken up; nothing was changed."""


class WarpChanged(JournalError):
    """The sequence file is not the one this warp was begun with."""


class DeviceMissing(HeddlecallError):
    """A microphone, loudspeaker, pedal, voice or model that is not there, and what to do about it."""


class ModelError(HeddlecallError):
    """A model that is not known, or cannot be fetched, verified or unpacked."""


class VoiceMissing(DeviceMissing):
    """A voice that the voice engine does not have."""


class VoiceSilent(DeviceMissing):
    """A voice engine that hung or died, each time it was asked."""


class VoiceFailed(DeviceMissing):
    """A text of which a voice left no sound; `meanwhile` tells what is heard in its place, and why."""

    def __init__(self, sentence: str, meanwhile: Tell, /, **places: Any):
        super().__init__(sentence, **places)
        self.meanwhile = meanwhile


class DeviceLost(HeddlecallError):
    """A device that was there and went away."""


class PedalError(HeddlecallError):
    """Presses that make no pedal."""


class SettingsError(HeddlecallError):
    """What was taught of a pedal, or a setting that stays, that cannot be read or kept."""


class OptionsError(HeddlecallError):
    """Options that do not go together."""


class SoundFileError(HeddlecallError):
    """A sound file that cannot be read."""


class TaughtError(HeddlecallError):
    """What a weaver taught, or wants to teach, that cannot be used."""


class RehearsalError(HeddlecallError):
    """What was asked of a rehearsal cannot be done with this warp."""


class PlanError(HeddlecallError):
    """What was asked of a plan, or of a place in the cloth, that cannot be worked out."""


class PassError(HeddlecallError):
    """A size of calls that a pass cannot have."""


class FindError(HeddlecallError):
    """A group, a count or an answer that a mistake cannot be looked for with."""


class RecordError(HeddlecallError):
    """A record, or a note, that cannot be written."""


class OutputError(HeddlecallError):
    """What was to be printed has no place to go."""


class OutfileError(HeddlecallError):
    """A file that cannot be written where it was named, or that would be written over."""


class WritingError(HeddlecallError):
    """What is being written in cannot be kept, or taken up again."""


class CardError(HeddlecallError):
    """A card that cannot be written."""

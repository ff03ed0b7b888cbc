"""The voices that can be had, and how they sound."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.cli.arguments import WithLanguage, WithReplace, WithVoice, file_to_write
from assistant.cli.command import Command, When, argument, flag
from assistant.output import show

if TYPE_CHECKING:
    from assistant.senses.mouth.voices import Voice


@dataclass(frozen=True, kw_only=True)
class WithWantedVoice(WithVoice, WithLanguage):
    """A voice, without a wish that of the language."""

    @property
    def wanted(self) -> str:
        """Its id, name or language."""
        return self.voice or self.language.voice


@dataclass(frozen=True, kw_only=True)
class SpeakOptions(WithReplace, WithWantedVoice):
    """What to say, and where to."""

    text: str | None = argument(metavar="TEXT", nargs="?", help="what to say; without it a call")
    out: Path | None = argument("--out", type=file_to_write, metavar="OUT.wav", help="write it to a file")


def _speak(options: SpeakOptions) -> None:
    from assistant.outfile import Outfile
    from assistant.senses.mouth.loudspeaker import speak
    from assistant.senses.sound import WAV

    speak(
        options.wanted,
        options.text,
        speed=options.speed,
        volume=options.volume,
        out=Outfile(options.out, WAV, options.replace) if options.out else None,
        device=options.loudspeaker,
    )


@dataclass(frozen=True, kw_only=True)
class VoicesOptions(WithWantedVoice):
    """Which voices, and what is done with them."""

    every: bool = flag("--all", help="those of other languages, too")
    play: bool = flag("--play", help="play a call with each")
    check: bool = flag("--check", help="have the ear hear each number from 0 to 99 in the one chosen")


MISTAKEN = 1  # the exit code where a number is heard as another
CHECK_S = 20.0  # what a check takes where it has not been done


def _voices(options: VoicesOptions) -> int | None:
    if options.check:
        return _check(options)
    _list(options)
    return None


def _check(options: VoicesOptions) -> int | None:
    from assistant.senses.ear.numbers import EarForNumbers
    from assistant.senses.mouth.proof import Understood
    from assistant.senses.mouth.speaker import proofs

    options.say_how_long(CHECK_S)
    words = options.printed
    proved = list(proofs(options.wanted, options.speed, EarForNumbers))
    right = [each for each in proved if each.verdict is Understood.RIGHT]
    places = {"voice": options.wanted, "speed": options.speed, "of": len(proved), "right": len(right)}
    lines = [words.text("voice checked", **places, otherwise=sum(each.way > 0 for each in right))]
    if unsure := [str(each.number) for each in proved if each.verdict is Understood.UNSURE]:
        lines.append(words.text("voice unsure", numbers=", ".join(unsure)))
    mistaken = [(each.number, each.likeliest) for each in proved if each.verdict is Understood.OTHER]
    if mistaken:
        taken = ", ".join(words.text("voice taken", number=number, other=other) for number, other in mistaken)
        lines.append(words.text("voice mistaken", taken=taken))
    show(lines)
    return MISTAKEN if mistaken else None


def _list(options: VoicesOptions) -> None:
    from assistant.senses.mouth.voicebox import voices

    there = voices()
    listed = _listed(options, there)
    if not options.play:
        show([*(line for _, line in listed), *_advice(options, there, len(listed))])
        return
    from assistant.errors import DeviceMissing
    from assistant.senses.mouth.loudspeaker import Loudspeaker, speak

    Loudspeaker(options.loudspeaker).shut()  # without one no voice can be heard
    for voice, line in listed:
        show([line])
        try:
            speak(voice.id, speed=options.speed, volume=options.volume, device=options.loudspeaker)
        except DeviceMissing as error:
            options.caution(error.tell)


def _listed(options: VoicesOptions, there: "Sequence[Voice]") -> "list[tuple[Voice, str]]":
    """Each with its line, the sensible ones of the language first. Raises VoiceMissing where none is there."""
    from assistant.errors import VoiceMissing
    from assistant.senses.mouth.voices import choose, sensible
    from assistant.words.columns import columns, padded

    words = options.printed
    try:
        usual = choose(there, options.language.voice)
    except VoiceMissing:
        usual = None
    chosen = choose(there, options.voice) if options.voice else usual
    first = sensible(there, options.language.voice, usual)
    listed = [*first, *(voice for voice in there if voice not in first)] if options.every else first
    called = max((columns(_called(voice)) for voice in listed), default=0)
    tag = max((columns(voice.language) for voice in listed), default=0)

    def line(voice: "Voice") -> str:
        marks = {"voice natural": voice.natural, "voice usual": voice == usual, "voice chosen": voice == chosen}
        notes = ", ".join([voice.name, *(words.text(mark) for mark, there in marks.items() if there)])
        return f"{padded(_called(voice), called)}  {padded(voice.language, tag)}  {notes}"

    return [(voice, line(voice)) for voice in listed]


def _called(voice: "Voice") -> str:
    """As it is to be typed."""
    called = voice.called
    return f'"{called}"' if " " in called else called


def _advice(options: VoicesOptions, there: "Sequence[Voice]", listed: int) -> Iterator[str]:
    """What more there is, how a voice is heard and kept, and how a natural one is had."""
    from assistant.senses.mouth.natural import can_speak, user_voices

    words = options.printed
    if more := len(there) - listed:
        yield words.text("voices of others", count=more)
    yield words.text("voices to keep")
    if not can_speak():
        yield words.text("voices not installed")
    yield words.text("voices of piper", folder=user_voices())


COMMANDS = (
    Command("speak", "say something, or play a call, to try a voice", SpeakOptions, _speak, When.SETTING_UP),
    Command("voices", "list the voices, the sensible ones first", VoicesOptions, _voices, When.SETTING_UP),
)

"""The voices that can be had."""

from dataclasses import dataclass
from pathlib import Path

from assistant.cli.arguments import WithLog, WithReplace, WithVoice, file_to_write
from assistant.cli.command import Command, When, argument
from assistant.output import show


@dataclass(frozen=True, kw_only=True)
class SpeakOptions(WithReplace, WithVoice, WithLog):
    """What to say, and where to."""

    text: str | None = argument(metavar="TEXT", nargs="?", help="what to say")
    out: Path | None = argument("--out", type=file_to_write, metavar="OUT.wav", help="write it to a file")


def _speak(options: SpeakOptions) -> None:
    from assistant.outfile import Outfile
    from assistant.senses.mouth.loudspeaker import speak
    from assistant.senses.sound import WAV

    show(
        speak(
            options.voice,
            options.text,
            speed=options.speed,
            volume=options.volume,
            out=Outfile(options.out, WAV, options.replace) if options.out else None,
            device=options.loudspeaker,
        )
    )


COMMANDS = (Command("speak", "list the voices, or try one", SpeakOptions, _speak, When.SETTING_UP),)

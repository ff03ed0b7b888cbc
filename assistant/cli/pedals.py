"""The foot switch."""

from dataclasses import dataclass

from assistant.cli.arguments import WithLanguage
from assistant.cli.command import Command, When, argument
from assistant.output import put
from assistant.senses.pedal import PedalSource


@dataclass(frozen=True, kw_only=True)
class PedalOptions(WithLanguage):
    """How to learn it."""

    source: PedalSource | None = argument(
        "--source",
        type=PedalSource,
        choices=list(PedalSource),
        metavar="SOURCE",
        help="evdev: the pedal's own device (Linux), terminal: the keys it types; without it, whichever can be read",
    )


def _pedal(options: PedalOptions) -> None:
    from assistant.senses.pedal.teach import teach

    teach(put, options.language, options.source)


COMMANDS = (Command("pedal", "teach the foot switch: press each switch once", PedalOptions, _pedal, When.SETTING_UP),)

"""The foot switch, and the numeric keypad."""

from dataclasses import dataclass
from pathlib import Path

from assistant.cli.arguments import WithLanguage, WithPaper, WithReplace, file_to_write
from assistant.cli.command import Command, When, argument
from assistant.output import put
from assistant.senses.pedal import PedalSource


@dataclass(frozen=True, kw_only=True)
class PedalOptions(WithLanguage, WithPaper, WithReplace):
    """How to learn it; or a card in place of that."""

    source: PedalSource | None = argument(
        "--source",
        type=PedalSource,
        choices=list(PedalSource),
        metavar="SOURCE",
        help="evdev: the pedal's own device (Linux), terminal: the keys it types; without it, whichever can be read",
    )
    card: Path | None = argument(
        "--card",
        type=file_to_write,
        metavar="OUT.html",
        help="only write a card of what the keys of a numeric keypad mean, as HTML or PDF",
    )


def _pedal(options: PedalOptions) -> None:
    if options.card:
        from assistant.paper.keypad import card
        from assistant.paper.writing import card_file, write_cards

        out = card_file(options.card, options.replace)
        write_cards(card(options.language, options.paper), out)
        return
    from assistant.senses.pedal.teach import teach

    teach(put, options.language, options.source)


COMMANDS = (
    Command(
        "pedal",
        "teach the foot switch or the numeric keypad: press each switch once",
        PedalOptions,
        _pedal,
        When.SETTING_UP,
    ),
)

"""The front door: what is done where only the program's name is typed."""

import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.cli.command import YES_OR_NO, Command, When, flag
from assistant.cli.families import commands
from assistant.cli.settings import as_typed, known
from assistant.errors import HeddlecallError
from assistant.words.language import Language, load

if TYPE_CHECKING:
    from assistant.front.values import KnownSetting

OPEN_CHOICE = ("weaver",)  # settings for which more may be typed than a shell completes


@dataclass(frozen=True, kw_only=True)
class FrontOptions:
    """Where it opens."""

    page: bool = flag("--page", help="without a command: open the front door in a browser, on this machine only")
    plain: bool = flag("--plain", lasting=True, help="without a command: in plain lines, a number and Enter a choice")

    @property
    def language(self) -> Language:
        """The one that is kept, where it can be read."""
        with suppress(HeddlecallError):
            return load(kept()["language"].value)
        return load("en")

    @property
    def in_lines(self) -> bool:
        """Whether lines are wished for, or all that the terminal can do."""
        return self.plain or os.environ.get("TERM") == "dumb"

    @property
    def can_open(self) -> bool:
        """Whether there is anything to show it on."""
        from assistant.senses.screen import at_a_terminal

        return self.page or self.plain or at_a_terminal()


def _front(options: FrontOptions) -> None:
    from assistant.front.front import Front

    if options.page:
        from assistant.front.page import run as run_page

        run_page(Front(None, kept, ("--page",)), options.language)
    elif options.in_lines:
        from assistant.front.lines import run as run_lines

        run_lines(Front(None, kept, ("--plain",)))
    else:
        from assistant.front.terminal import run

        run(Front(None, kept))


def kept() -> "Mapping[str, KnownSetting]":
    """Every setting, as it is kept or usual. Raises SequenceError, SettingsError."""
    from assistant.front.values import KnownSetting
    from assistant.settings import load as load_settings

    options = known(commands())
    settings = load_settings(options)
    mine, found = settings.of(settings.whose(None)), {}
    for name, option in options.items():
        text = as_typed(option, mine.get(name))
        among = tuple(map(str, option.settings.get("choices", ())))
        if option.is_flag:
            text, among = "yes" if YES_OR_NO[text.lower()] else "no", ("yes", "no")
        elif option.among and name not in OPEN_CHOICE:
            among = tuple(option.among())
        found[name] = KnownSetting(text, name in mine, mine[name].weaver if name in mine else "", among)
    return found


FRONT = Command("", "open the front door", FrontOptions, _front, When.AT_FIRST, mends_settings=True)

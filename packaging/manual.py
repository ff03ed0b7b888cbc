"""The manual page, docs/heddlecall.1, made anew from the commands.

python packaging/manual.py
"""

import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from assistant.cli import CAUTIONS
from assistant.cli.command import Argument, Command
from assistant.cli.families import commands

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "docs" / "heddlecall.1"
ABOUT = """\
Reads the next shafts of a threading aloud, moves on when you say next, repeat or previous, or press a foot switch,
keeps a running count of the ends in every group against the count it should have, finds in a few questions where a
mistake is, and never loses its place. It serves the counted jobs around threading in the same way. It runs offline.
Without a command it shows the warps that are under way and all that can be done, in the terminal, in a browser by
--page, or in plain lines by --plain."""
EXIT_CODES = {
    "0": "All went well; also where a sitting or a lesson was left.",
    "1": "The answer is a no: the loom cannot take the warp (plan), something is missing (doctor), words were left out "
    "(teach), a number is taken for another (voices). Or a fault of the program, with a traceback.",
    "2": "What was typed or written cannot be used, or something that is needed is not there; one line on standard "
    "error says what is wrong and what to do.",
    "130": "It was interrupted.",
}
FILES = {
    "~/.local/share/heddlecall": "Records, taught words, models, the page's address.",
    "~/.config/heddlecall": "The pedal, and the settings that stay.",
    "~/.cache/heddlecall": "Clips of the voice, and logs; all can be made again.",
}
ENVIRONMENT = {"HEDDLECALL_DATA": "The folder for records and taught words, in place of the first of those below."}

BY_PLACE = {"?": "[{}]", "*": "[{} ...]"}  # how often

Listed = tuple[str, Argument]  # the name of the field, and how it is typed


def page() -> str:
    """All of it, in the man macros of roff."""
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    every = list(_every(commands()))
    shared = _shared(command for _, command in every)
    return "\n".join(
        [
            f'.TH HEDDLECALL 1 "" "Heddlecall {version}" "User Commands"',
            *(".SH NAME", r"heddlecall \- an offline, hands-free helper for threading a loom alone"),
            *(".SH SYNOPSIS", r"\fBheddlecall\fR [\fB\-\-page\fR | \fB\-\-plain\fR]", ".br"),
            r"\fBheddlecall\fR \fICOMMAND\fR [\fIOPTIONS\fR]",
            *(".SH DESCRIPTION", *map(_escaped, ABOUT.splitlines())),
            ".SH COMMANDS",
            *(line for name, command in every for line in _command(name, command, shared)),
            ".SH OPTIONS OF SEVERAL COMMANDS",
            *(line for each in shared for line in _argument(each)),
            *_listed("SETTINGS FOR WHAT NEITHER FILE NOR RECORD SAYS", _only_kept(command for _, command in every)),
            *_listed("EXIT STATUS", EXIT_CODES),
            *_listed("ENVIRONMENT", ENVIRONMENT),
            *_listed("FILES", FILES),
            *(".SH CAUTIONS", _escaped(CAUTIONS)),
            "",
        ]
    )


def _every(among: Iterable[Command[Any]], before: str = "") -> Iterator[tuple[str, Command[Any]]]:
    for command in among:
        yield f"{before}{command.name}", command
        yield from _every(command.under, f"{before}{command.name} ")


def _typed(command: Command[Any]) -> list[Listed]:
    return [each for each in command.arguments().items() if each[1].typed]


def _only_kept(among: Iterable[Command[Any]]) -> dict[str, str]:
    listed = (one for command in among for one in command.arguments().values() if not one.typed)
    return {one.lasting: f"{one.settings['help']}{_choices(one)}" for one in listed}


def _choices(one: Argument) -> str:
    among = one.settings.get("choices", ()) if "metavar" not in one.settings else ()
    return f" ({', '.join(map(str, among))})" if among else ""


def _shared(among: Iterable[Command[Any]]) -> list[Listed]:
    """What is the same in several commands, told once."""
    listed = [each for command in among for each in _typed(command)]
    once = [each for number, each in enumerate(listed) if each not in listed[:number]]
    several = Counter({number: listed.count(each) for number, each in enumerate(once)})
    return [each for number, each in enumerate(once) if several[number] > 1]


def _command(name: str, command: Command[Any], shared: list[Listed]) -> Iterator[str]:
    arguments = _typed(command)
    by_place = [
        BY_PLACE.get(each[1].settings.get("nargs", ""), "{}").format(_metavar(each))
        for each in arguments
        if not each[1].names
    ]
    yield ".TP"
    yield " ".join([rf"\fBheddlecall {_escaped(name)}\fR", *(rf"\fI{_escaped(word)}\fR" for word in by_place)])
    about = f"{command.about[0].upper()}{command.about[1:]}."
    also = [one.names[-1] for field, one in arguments if one.names and (field, one) in shared]
    yield _escaped(f"{about} Takes {', '.join(also)}.")
    own = [each for each in arguments if each not in shared]
    if own:
        yield ".RS"
        for each in own:
            yield from _argument(each)
        yield ".RE"


def _argument(listed: Listed) -> Iterator[str]:
    _, one = listed
    names = [*one.names, *(f"--no-{name[2:]}" for name in one.names if one.is_flag and one.lasting)]
    takes = "" if one.is_flag and one.settings["action"] != "append" else rf" \fI{_escaped(_metavar(listed))}\fR"
    yield ".TP"
    yield ", ".join(rf"\fB{_escaped(name)}\fR" for name in names) + takes if names else takes.strip()
    told = str(one.settings.get("help", "")) % {"default": one.settings.get("default")}
    yield _escaped(f"{told}{_choices(one)}")


def _metavar(listed: Listed) -> str:
    field, one = listed
    return str(one.settings.get("metavar") or (one.names[-1].lstrip("-") if one.names else field).upper())


def _listed(title: str, told: dict[str, str]) -> Iterator[str]:
    yield f".SH {title}"
    for name, about in told.items():
        yield from (".TP", rf"\fB{_escaped(name)}\fR", _escaped(about))


def _escaped(text: str) -> str:
    """As roff prints it as it is; no line begins with what would be a request."""
    plain = text.replace("\\", r"\e").replace("-", r"\-").replace("~", r"\(ti").replace("…", r"\&...")
    return rf"\&{plain}" if plain[:1] in (".", "'") else plain


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(PAGE)

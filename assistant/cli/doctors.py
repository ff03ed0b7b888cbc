"""What is there, and what is missing."""

from dataclasses import dataclass
from pathlib import Path

from assistant.cli.arguments import WithJson, WithLanguage, WithReplace, file_to_write
from assistant.cli.command import Command, When, argument
from assistant.output import put, show, show_json


@dataclass(frozen=True, kw_only=True)
class DoctorOptions(WithLanguage, WithReplace, WithJson):
    """How to tell."""

    report: Path | None = argument(
        "--report",
        type=file_to_write,
        metavar="OUT.txt",
        help="shown, and written to send with a report of a fault: without names of people, devices and folders",
    )


def _doctor(options: DoctorOptions) -> int:
    """Exit code 1 where something is missing, or does not do, and no report of it was asked for."""
    from assistant.cli.settings import kept
    from assistant.doctor import REPORT, TITLE, findings, without_what_is_private
    from assistant.outfile import Outfile
    from assistant.words.columns import columns, padded

    words = options.printed
    found = list(findings(options.language, kept))
    if options.json:
        show_json([{"part": each.part, "well": each.well, "told": words.told(each.told)} for each in found])
        return int(not all(each.well for each in found))
    labels = {each.part: words.text(f"part {each.part}") for each in found}
    width = max(map(columns, labels.values()))
    lines = [
        f"{' ' if each.well else '!'} {padded(labels[each.part], width)}  {words.told(each.told)}" for each in found
    ]
    if options.report:
        out = Outfile(options.report, REPORT, options.replace)
        report = [without_what_is_private(line, found) for line in (TITLE, *lines)]
        show(report)
        out.write("".join(f"{line}\n" for line in report).encode())
        put(words.text("report written", file=options.report))
        return 0
    show(lines)
    return int(not all(each.well for each in found))


COMMANDS = (
    Command(
        "doctor",
        "look at what is there, and say what is missing",
        DoctorOptions,
        _doctor,
        When.SETTING_UP,
        mends_settings=True,
    ),
)

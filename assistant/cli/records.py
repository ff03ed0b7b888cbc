"""What was done: the log of a warp, its record to read and print, and notes to it."""

import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.cli.arguments import (
    WithJson,
    WithLanguage,
    WithPaper,
    WithReplace,
    WithWhose,
    file_to_write,
    number,
    one_job,
)
from assistant.cli.command import Command, Either, When, argument, flag
from assistant.errors import RecordError
from assistant.meaning import Tell
from assistant.output import legible, put, show, show_json
from assistant.warp.passes import PASSES, Pass

if TYPE_CHECKING:
    from assistant.session.history import History
    from assistant.session.journal import Journal, Record, Records

LONGEST = 500  # characters of a note
_WHICH = Either()


@dataclass(frozen=True, kw_only=True)
class LogOptions(WithLanguage, WithPaper, WithReplace, WithJson, WithWhose):
    """Which record, and in which shape."""

    file: str | None = argument(
        metavar="FILE", nargs="?", help="a sequence file, or the title of a warp; without it the one begun last"
    )
    job: Pass[Any] | None = argument(
        "--job", type=one_job(PASSES), metavar="JOB", help="the log of this job; without it the one begun last"
    )
    all: bool = flag("--all", either=_WHICH, help="every record, one after the other")
    record: int | None = argument(
        "--record", either=_WHICH, type=number, metavar="N", help="this one, by its number in heddlecall records"
    )
    pace: bool = flag("--pace", either=_WHICH, help="your own pace in each job, and what it rests on")
    report: Path | None = argument(
        "--report", type=file_to_write, metavar="OUT.html", help="all jobs of this warp, to read and to print"
    )
    csv: Path | None = argument(
        "--csv", type=file_to_write, metavar="OUT.csv", help="the same as a table, a row a group and job"
    )

    @property
    def job_name(self) -> str | None:
        """As the journal has it."""
        return _name(self.job)


def _log(options: LogOptions) -> None:
    from assistant.paper.log import also_kept
    from assistant.session.history import asked_for, history, told
    from assistant.session.kept import of_number

    if options.pace:
        _paces(options)
        return
    with options.kept() as records:
        one = of_number(records, options.record) if options.record is not None else None
        file = Path(one.file) if one else asked_for(records, options.file)
        if options.report or options.csv:
            _write(records, options, file)
            return
        found = [(one, history(records, one))] if one else told(records, file, options.job_name)
        shown, others = (found, []) if options.all else (found[:1], found[1:])
        if options.json:
            from assistant.paper.retold import story

            stories = [story(record, records.events(record), options.language).as_json() for record, _ in shown]
            show_json(stories if options.all else stories[0])
            return
    for each in shown:
        _show(*each, options)
    show(also_kept(record, history, options.printed) for record, history in others)


def _show(record: "Record", told: "History", options: LogOptions) -> None:
    from assistant.paper.log import file_gone, log

    if record.cut_off:
        options.caution(Tell("cut off"))
    gone = file_gone(record, options.printed)
    show([*log(told, options.printed), *([gone] if gone else [])])


def _write(records: "Records", options: LogOptions, file: Path | None) -> None:
    """Write what is kept of one warp, every job or the one asked for."""
    from assistant.outfile import Outfile
    from assistant.paper.retold import story
    from assistant.paper.table import TABLE, table
    from assistant.paper.writing import HTML, ending
    from assistant.session.history import of_one_warp

    page = options.report and ending(options.report, (".html", ".htm"), Tell("a report"))
    rows = options.csv and ending(options.csv, (".csv",), Tell("a table"))
    pages = page and Outfile(page, HTML, options.replace)
    tables = rows and Outfile(rows, TABLE, options.replace)
    warp = of_one_warp(records, file, options.job_name)
    stories = [story(record, records.events(record), options.language) for record, _ in warp]
    if pages:
        from assistant.paper.report import report

        pages.write(report(stories, legible(warp[-1][0].file), options.language, options.paper).encode())
    if tables:
        tables.write(table(stories, options.language).encode())
    words = options.printed
    written = words.listed(each.path for each in (pages, tables) if each)
    jobs = words.jobs(each.job for each in stories)
    put(words.text("record written", files=written, jobs=jobs, title=stories[-1].title))


def _paces(options: LogOptions) -> None:
    """The weaver's own pace in each job."""
    from assistant.paper import log
    from assistant.session.history import own_paces

    with options.kept() as records:
        paces = own_paces(records, options.whose or "")
    options.show([pace.as_json() for pace in paces], log.own_paces(paces, options.printed))


@dataclass(frozen=True, kw_only=True)
class NoteOptions(WithLanguage):
    """What to remember, and of which warp."""

    text: str = argument(metavar="TEXT", help="what to remember")
    file: str | None = argument(
        "--file", metavar="FILE", help="to this warp, by its file or title; without it the one worked on last"
    )
    job: Pass[Any] | None = argument(
        "--job", type=one_job(PASSES), metavar="JOB", help="to this job of it; without it the one worked on last"
    )


def _note(options: NoteOptions) -> None:
    from assistant.session.journal import Journal, default_path

    with Journal(default_path(), options.caution) as journal:
        put(note(journal, options, time.time()))


def note(journal: "Journal", options: NoteOptions, at: float) -> str:
    """Keep a note to the warp worked on last, of a file and a job or of all, at the place it has come to.

    Tells where. Raises RecordError for a text that is none, JournalError without a record.
    """
    from assistant.paper.log import noted
    from assistant.session.history import asked_for, kept
    from assistant.session.resume import replayed

    plain = plainly(options.text)
    file, job = asked_for(journal, options.file), _name(options.job)
    record = journal.worked_on_last(file, job) or kept(journal, file, job)[0]
    session = replayed(journal, record)
    journal.note(record, plain, at)
    return noted(session, options.printed)


def plainly(text: str) -> str:
    """A note on one line. Raises RecordError where there is nothing to keep, too much of it, or what is no text."""
    plain = " ".join(text.split())
    if not plain:
        raise RecordError('there is nothing to note; write: heddlecall note "what to remember"')
    if len(plain) > LONGEST:
        what = "a note has up to {most} characters, this one {length:,}; write the rest in another"
        raise RecordError(what, most=LONGEST, length=len(plain))
    if not plain.isprintable():
        raise RecordError("a note is plain text; leave out what cannot be printed")
    return plain


@dataclass(frozen=True, kw_only=True)
class RecordsOptions(WithLanguage, WithJson):
    """Every record, as lines or JSON."""


def _records(options: RecordsOptions) -> None:
    from assistant.paper.log import listed
    from assistant.session.kept import standing

    with options.kept() as records:
        kept = list(standing(records))
    options.show([each.as_json() for each in kept], listed(kept, options.printed))


@dataclass(frozen=True, kw_only=True)
class OneRecordOptions(WithLanguage):
    """Which record."""

    record: int = argument(metavar="N", type=number, help="its number, as heddlecall records has it")


def _open(options: OneRecordOptions) -> None:
    from assistant.drafting import SEQUENCE
    from assistant.outfile import Outfile
    from assistant.session.journal import Journal, default_path
    from assistant.session.kept import of_number
    from assistant.warp.spelling import typed

    with Journal(default_path(), options.caution) as journal:
        record = of_number(journal, options.record)
        if not Path(record.file).exists():
            Outfile(Path(record.file), SEQUENCE).write(record.sequence.encode())
        record = journal.go_on_with(record)
    words, job = options.printed, PASSES[record.job]
    put(words.text("record opened", number=record.id, job=words.job(record.job), file=legible(record.file)))
    put(f"  heddlecall {job.command or job.name} {typed(record.file)}")


@dataclass(frozen=True, kw_only=True)
class DeleteOptions(WithLanguage):
    """Which records."""

    which: str = argument(metavar="N|FILE", help="a record by its number, or all of a warp by its file or title")
    job: Pass[Any] | None = argument(
        "--job", type=one_job(PASSES), metavar="JOB", help="of the warp, those of this job alone"
    )
    yes: bool = flag("--yes", help="do not ask")


def _delete(options: DeleteOptions) -> None:
    from assistant.paper.log import listed
    from assistant.senses.screen import at_a_terminal
    from assistant.session.journal import Journal, default_path
    from assistant.session.kept import named, standing

    with Journal(default_path(), options.caution) as journal:
        found = named(journal, options.which, _name(options.job))
        show(listed(list(standing(journal, found)), options.printed))
        if not options.yes and not at_a_terminal():
            raise RecordError("nobody can be asked here; add --yes to delete them")
        if options.yes or options.agrees(Tell("delete these?")):
            journal.delete(found)
            put(options.printed.text("records deleted", count=len(found)))


def _name(job: Pass[Any] | None) -> str | None:
    return job.name if job else None


COMMANDS = (
    Command(
        "log",
        "show past sittings, and how each group stands; write the record of a warp",
        LogOptions,
        _log,
        When.BESIDE,
    ),
    Command(
        "records",
        "list every record that is kept, go on with an older one, or delete some",
        RecordsOptions,
        _records,
        When.BESIDE,
        under=(
            Command("open", "go on with an older record in place of a later one", OneRecordOptions, _open, When.BESIDE),
            Command("delete", "delete records for good", DeleteOptions, _delete, When.BESIDE),
        ),
    ),
    Command(
        "note",
        "keep a note to the warp worked on last, at the place it has come to",
        NoteOptions,
        _note,
        When.BESIDE,
    ),
)

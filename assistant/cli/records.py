"""What was done: the log of a warp, its record to read and print, and notes to it."""

import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.cli.arguments import WithJson, WithLanguage, WithPaper, WithReplace, file_to_write, one_job
from assistant.cli.command import Command, When, argument, flag
from assistant.errors import RecordError
from assistant.meaning import Tell
from assistant.output import legible, put, show, show_json
from assistant.warp.passes import PASSES, Pass

if TYPE_CHECKING:
    from assistant.session.journal import Journal, Records

LONGEST = 500  # characters of a note


@dataclass(frozen=True, kw_only=True)
class LogOptions(WithLanguage, WithPaper, WithReplace, WithJson):
    """Which record, and in which shape."""

    file: str | None = argument(
        metavar="FILE", nargs="?", help="a sequence file, or the title of a warp; without it the one begun last"
    )
    job: Pass[Any] | None = argument(
        "--job", type=one_job(PASSES), metavar="JOB", help="the log of this job; without it the one begun last"
    )
    pace: bool = flag("--pace", help="your own pace in each job, and what it rests on")
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
    from assistant.paper.log import also_kept, file_gone, log
    from assistant.session.history import asked_for, told

    if options.pace:
        _paces(options)
        return
    with options.kept() as records:
        file = asked_for(records, options.file)
        if options.report or options.csv:
            _write(records, options, file)
            return
        found = told(records, file, options.job_name)
        (record, latest), *others = found
        if options.json:
            from assistant.paper.retold import story

            show_json(story(record, records.events(record), options.language).as_json())
            return
    words = options.printed
    if record.cut_off:
        options.caution(Tell("cut off"))
    gone = [line for line in [file_gone(record, words)] if line]
    show([*log(latest, words), *gone, *(also_kept(record, history, words) for record, history in others)])


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
        paces = own_paces(records)
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
        "note",
        "keep a note to the warp worked on last, at the place it has come to",
        NoteOptions,
        _note,
        When.BESIDE,
    ),
)

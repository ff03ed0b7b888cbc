"""Stories -> CSV, a row for each group of each job."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from assistant.meaning import Tell
from assistant.outfile import FileKind
from assistant.output import legible
from assistant.paper.report import by, marked, report_phrases
from assistant.paper.story import TROUBLES, Deed, GroupStory, Story
from assistant.session.history import local
from assistant.session.view import GroupState, state_name
from assistant.words.language import Language, codes, load
from assistant.words.phrases import Phrases

COLUMNS = (
    *("title", "job", "begun", "group", "unit", "expected", "counted", "state", "closed_by", "closed_at"),
    *("seconds", "seconds_a_unit", "steps_back", "times_off", "set_right", "begun_anew", "opened_again", "troubles"),
    *("notes", "weavers"),
)
FORMULA = tuple("=+-@\t\r")  # what a cell begins with that a spreadsheet works out

Cell = str | int | float | None


def table(stories: Iterable[Story], language: Language | None = None) -> str:
    """The whole table with a heading, in English where no language is given; lines end as RFC 4180 has it.

    Notes stand with the group they were made in.
    """
    phrases, text = report_phrases(language or load("en")), io.StringIO()
    writer = csv.writer(text)
    writer.writerow(_heading(phrases))
    for story in stories:
        for group in story.groups:
            writer.writerow([_harmless(cell) for cell in _row(story, group, phrases)])
    return text.getvalue()


def _heading(phrases: Phrases) -> list[str]:
    return [phrases.text(f"column {name}") for name in COLUMNS]


def _is_table(data: bytes) -> bool:
    """Whether a file begins with the heading in any language."""
    return any(data.startswith(",".join(_heading(report_phrases(load(code)))).encode()) for code in codes())


TABLE = FileKind(Tell("a table written by heddlecall"), _is_table)


def _row(story: Story, group: GroupStory, phrases: Phrases) -> Iterator[Cell]:
    line, closed = group.line, group.closed
    yield from (story.title, phrases.text(f"job {story.job}"), _time(story.began), line.name)
    yield from (phrases.text(story.unit, count=1), line.expected, line.counted)
    yield phrases.text(f"state {state_name(line.state, story.compares)}")
    yield from (by(closed.by, phrases), _time(closed.at)) if closed else ("", "")
    yield round(group.seconds)
    yield None if group.pace is None else round(group.pace, 1)
    yield group.steps_back
    yield from (group.count(what) for what in (GroupState.OFF, Deed.SET_RIGHT, Deed.ANEW, Deed.OPENED))
    yield _joined([moment.words for moment in group.moments if moment.what in TROUBLES])
    yield _notes(story, line.name, phrases)
    yield ", ".join(group.by)


def _notes(story: Story, group: str, phrases: Phrases) -> str:
    return _joined([note.text or marked(note, phrases) for note in story.notes if note.group == group])


def _joined(texts: Sequence[str]) -> str:
    return "; ".join(filter(None, texts))


def _time(at: float) -> str:
    return local(at).isoformat(timespec="seconds")


def _harmless(cell: Cell) -> Cell:
    """A legible text; one that a spreadsheet would take for a formula is kept as a text, by an apostrophe before it."""
    if not isinstance(cell, str):
        return cell
    return f"'{legible(cell)}" if cell.lstrip().startswith(FORMULA) else legible(cell)

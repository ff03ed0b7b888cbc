"""Stories -> one HTML file that fetches nothing and runs nothing."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from assistant.errors import RecordError
from assistant.paper.gathered import Gathered, gathered
from assistant.paper.hanging import looks, told
from assistant.paper.plan import named
from assistant.paper.sizes import A4, Paper
from assistant.paper.story import AT_ONCE_S, GroupStory, MarkedPlace, Story, Trouble
from assistant.paper.writing import MARK, layouts, unparted
from assistant.session.events import Kind
from assistant.session.history import local
from assistant.session.view import GroupState, state_name
from assistant.warp.model import Group
from assistant.warp.plan.work import duration
from assistant.words.language import Language, Phrase, load
from assistant.words.phrases import Phrases


@dataclass(frozen=True, slots=True)
class Listed:
    """A trouble, its number in the list of all jobs, and its group to be drawn, where its yarns tell it apart."""

    number: int
    story: Story
    trouble: Trouble
    group: Group | None


def listed(stories: Sequence[Story]) -> list[Listed]:
    """What was off, job by job."""
    found: list[Listed] = []
    for story in stories:
        groups = {group.name: group for group in story.warp.groups}
        for trouble in story.troubles:
            group = groups[trouble.group]
            several = len({end.yarn for end in group.ends}) > 1
            found.append(Listed(len(found) + 1, story, trouble, group if several else None))
    return found


def marks(troubles: Sequence[Listed]) -> dict[str, list[int]]:
    """Group -> the numbers of what was off in it."""
    found = defaultdict(list)
    for each in troubles:
        found[each.trouble.group].append(each.number)
    return dict(found)


def report(stories: Sequence[Story], file: str, language: Language | None = None, paper: Paper = A4) -> str:
    """The document: the warp as it hangs and what was off, then a chapter for each job; in English where not told.

    Raises RecordError where the library for charts is missing.
    """
    try:
        from assistant.paper import charts
    except ModuleNotFoundError as error:
        raise RecordError("the charts need the library drawsvg: pip install 'drawsvg>=2.4'") from error
    words = language or load("en")
    numerals, phrases = words.numerals, report_phrases(words)

    def say(key: str, **places: object) -> str:
        return unparted(phrases.text(key, **places))

    warp, troubles = stories[-1].warp, listed(stories)
    tables = {story.began: list(gathered(story.groups)) for story in stories}
    layout = layouts()
    layout.filters.update(
        day=lambda at: f"{local(at):%Y-%m-%d}",
        clock=lambda at: f"{local(at):%m-%d %H:%M}",
        by=lambda source: by(source, phrases),
        marked=lambda note: marked(note, phrases),
        happened=lambda what: _happened(phrases, what),
        spoken=lambda kind: _spoken(words, kind),
        shown=lambda seconds: unparted(phrases.told(duration(seconds))),
        number=numerals.plain,
        tenths=lambda number: numerals.fixed(number, 1),
        seconds=lambda pace: f"{numerals.fixed(pace, 1)}\u00a0s",
        chart=Markup,  # made by our own hands, of numbers and dates
        trail=lambda group: trail(group, phrases),
        named=lambda row: unparted(phrases.worded(named(row.first, row.until))),
        between=between,
        unparted=unparted,
    )
    return layout.get_template("record.html").render(
        lang=words.code,
        mark=MARK,
        say=say,
        paper=paper,
        warp=warp,
        yarns=told(warp, looks(warp)),
        troubles=troubles,
        marks=marks(troubles),
        tables=tables,
        stories=stories,
        file=file,
        charts=charts,
        numerals=numerals,
        state_name=state_name,
        off=GroupState.OFF,
        at_once=f"{AT_ONCE_S:.0f}",
        longest={began: max((row.pace or 0.0 for row in rows), default=0.0) for began, rows in tables.items()},
    )


def report_phrases(language: Language) -> Phrases:
    """What stands in the record; how a group stands as "state even" and the like."""
    return Phrases(_sections(language), _sections(load("en")), language.numerals)


def _sections(language: Language) -> dict[str, Phrase]:
    states = {f"state {name}": word for name, word in language.states.items()}
    return {**language.plan, **language.screen, **language.paper, **states}


def by(source: str, phrases: Phrases) -> str:
    """Who, or what, told of an event; "" where nothing did."""
    return phrases.text(f"by {source}") if source else ""


def marked(note: MarkedPlace, phrases: Phrases) -> str:
    """A place marked without a text."""
    return phrases.text("marked", by=by(note.by, phrases))


def between(row: Gathered) -> str:
    """When the groups of a row were closed: "05-28 21:14", or from the earliest to the latest."""
    days = [f"{local(at):%m-%d}" for at in row.closed_at]
    times = [f"{local(at):%H:%M}" for at in row.closed_at]
    if len(set(days)) > 1:
        return f"{days[0]} {times[0]} – {days[1]} {times[1]}"
    return f"{days[0]} {'–'.join(dict.fromkeys(times))}" if days else ""


def trail(group: GroupStory, phrases: Phrases) -> list[str]:
    """What a group went through before it stood as it does: "off 21:14", "set right 21:20", steps back."""
    steps = phrases.text("steps back", count=group.steps_back)
    return [
        *(f"{_happened(phrases, moment.what)} {local(moment.at):%H:%M}" for moment in group.past),
        *([steps] if group.steps_back else []),
        *([", ".join(group.by)] if group.by else []),
    ]


def _happened(phrases: Phrases, what: str) -> str:
    """What happened to a group: that it stands so now, or what a weaver did with it."""
    return phrases.text(f"state {what}" if what in set(GroupState) else what)


def _spoken(words: Language, kind: Kind) -> str:
    """The word that stands for a command."""
    return next(iter(words.commands.get(kind, ())), kind.value)

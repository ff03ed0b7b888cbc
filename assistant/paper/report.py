"""Stories -> one HTML file that fetches nothing and runs nothing."""

from collections.abc import Sequence

from markupsafe import Markup

from assistant.errors import RecordError
from assistant.paper.story import AT_ONCE_S, GroupStory, MarkedPlace, Story
from assistant.paper.writing import MARK, layouts
from assistant.session.events import Kind
from assistant.session.history import local
from assistant.session.view import GroupState, state_name
from assistant.warp.plan.work import duration
from assistant.words.language import Language, Phrase, load
from assistant.words.phrases import Phrases


def report(stories: Sequence[Story], file: str, language: Language | None = None) -> str:
    """The document, a chapter for each job of a warp, in English where no language is given.

    Raises RecordError where the library for charts is missing.
    """
    try:
        from assistant.paper import charts
    except ModuleNotFoundError as error:
        raise RecordError("the charts need the library drawsvg: pip install 'drawsvg>=2.4'") from error
    words = language or load("en")
    numerals, phrases = words.numerals, report_phrases(words)
    layout = layouts()
    layout.filters.update(
        day=lambda at: f"{local(at):%Y-%m-%d}",
        clock=lambda at: f"{local(at):%m-%d %H:%M}",
        by=lambda source: by(source, phrases),
        marked=lambda note: marked(note, phrases),
        happened=lambda what: _happened(phrases, what),
        spoken=lambda kind: _spoken(words, kind),
        shown=lambda seconds: phrases.told(duration(seconds)),
        number=numerals.plain,
        tenths=lambda number: numerals.fixed(number, 1),
        seconds=lambda pace: f"{numerals.fixed(pace, 1)} s",
        chart=Markup,  # made by our own hands, of numbers and dates
        trail=lambda group: trail(group, phrases),
    )
    return layout.get_template("record.html").render(
        lang=words.code,
        mark=MARK,
        say=phrases.text,
        stories=stories,
        file=file,
        charts=charts,
        numerals=numerals,
        state_name=state_name,
        off=GroupState.OFF,
        at_once=f"{AT_ONCE_S:.0f}",
        longest={story.began: max((g.pace or 0.0 for g in story.groups), default=0.0) for story in stories},
    )


def report_phrases(language: Language) -> Phrases:
    """What stands in the record; how a group stands as "state even" and the like."""
    return Phrases(_sections(language), _sections(load("en")), language.numerals)


def _sections(language: Language) -> dict[str, Phrase]:
    states = {f"state {name}": word for name, word in language.states.items()}
    return {**language.screen, **language.paper, **states}


def by(source: str, phrases: Phrases) -> str:
    """Who, or what, told of an event; "" where nothing did."""
    return phrases.text(f"by {source}") if source else ""


def marked(note: MarkedPlace, phrases: Phrases) -> str:
    """A place marked without a text."""
    return phrases.text("marked", by=by(note.by, phrases))


def trail(group: GroupStory, phrases: Phrases) -> list[str]:
    """What a group went through before it stood as it does: "off 21:14", "set right 21:20", steps back."""
    past = [moment for moment in group.moments if moment is not group.closed]
    steps = phrases.text("steps back", count=group.steps_back)
    return [
        *(f"{_happened(phrases, moment.what)} {local(moment.at):%H:%M}" for moment in past),
        *([steps] if group.steps_back else []),
    ]


def _happened(phrases: Phrases, what: str) -> str:
    """What happened to a group: that it stands so now, or what a weaver did with it."""
    return phrases.text(f"state {what}" if what in set(GroupState) else what)


def _spoken(words: Language, kind: Kind) -> str:
    """The word that stands for a command."""
    return next(iter(words.commands.get(kind, ())), kind.value)

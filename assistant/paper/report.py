"""Stories -> one HTML file that fetches nothing and runs nothing."""

from collections.abc import Sequence

from markupsafe import Markup

from assistant.errors import RecordError
from assistant.paper.story import AT_ONCE, GroupStory, Story
from assistant.paper.writing import layouts
from assistant.session.events import CLOCK, WRITTEN
from assistant.session.history import local
from assistant.session.view import GroupState, state_name
from assistant.warp.plan.work import shown

BY = {CLOCK: "by the clock", WRITTEN: "written", "": ""}
NO_LIBRARY = "the charts need the library drawsvg: pip install 'drawsvg>=2.4'"


def report(stories: Sequence[Story], file: str) -> str:
    """The document, a chapter for each job of a warp. Raises RecordError where the library for charts is missing."""
    try:
        from assistant.paper import charts
    except ModuleNotFoundError as error:
        raise RecordError(NO_LIBRARY) from error
    layout = layouts()
    layout.filters.update(
        day=lambda at: f"{local(at):%d %B %Y}",
        clock=lambda at: f"{local(at):%d %b %H:%M}",
        by=lambda source: BY.get(source, f"by {source}"),
        shown=shown,
        chart=Markup,  # made by our own hands, of numbers and dates
        trail=trail,
    )
    return layout.get_template("record.html").render(
        stories=stories,
        file=file,
        charts=charts,
        state_name=state_name,
        off=GroupState.OFF,
        at_once=f"{AT_ONCE:.0f}",
        longest={story.began: max((g.pace or 0.0 for g in story.groups), default=0.0) for story in stories},
    )


def trail(group: GroupStory) -> list[str]:
    """What a group went through before it stood as it does: "off 21:14", "set right 21:20", steps back."""
    past = [moment for moment in group.moments if moment is not group.closed]
    steps = f"{group.steps_back} {'step' if group.steps_back == 1 else 'steps'} back"
    return [*(f"{moment.what} {local(moment.at):%H:%M}" for moment in past), *([steps] if group.steps_back else [])]

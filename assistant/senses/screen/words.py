"""A View and a Status -> the words and figures that screens show. Pure."""

from assistant.senses.screen.columns import columns, padded
from assistant.session.view import ALARM, GroupLine, GroupState, Lettering, Mode, Status, View, state_name

WIDEST_NAME = 40  # columns
_NAMED = (GroupState.OFF, GroupState.SETTLED, GroupState.EVEN)  # states of a closed group, the one to look at first
ASKED_AFAR = {
    Mode.CLOSING: ("EVEN?",),
    Mode.WHICH: ("1", "SHORT", "2", "OVER"),
    Mode.COUNTING: ("HOW", "MANY?"),
    Mode.FOUND: ("FOUND",),
    Mode.SURE: ("SURE?",),
    Mode.PAUSED: ("PAUSED",),
}


def from_afar(view: View) -> list[Lettering]:
    """What is to be read across the room: the call, or a word or two."""
    if view.figures and view.mode in (Mode.CALLING, Mode.ASKING, Mode.FOUND):
        return list(view.figures)
    if view.mode in ALARM:
        return [Lettering(word) for word in (difference(view, view.expected, view.counted) or "off").upper().split()]
    return [Lettering(word) for word in ASKED_AFAR.get(view.mode, ())]


def called(view: View) -> str:
    """The call in one line; "" where none is out."""
    if not view.called:
        return ""
    last = view.first + view.calling - 1
    numbers = f"{view.unit}s {view.first} to {last}" if view.calling > 1 else f"{view.unit} {last}"
    return f"{numbers}: {view.called.rstrip('.')}; {group_count(view)}, warp {warp_count(view)}"


def asked(view: View) -> str:
    """What the helper waits for, or what went wrong; that a count is off is said first."""
    return f"COUNT OFF: {view.prompt}" if view.mode in ALARM else view.prompt


def difference(view: View, expected: int, counted: int) -> str:
    """How far a count is off: "2 short", "1 over", "" where it is not; or after which end the threading differs."""
    if view.compares:
        return f"after {view.unit} {counted}"
    missing = expected - counted
    return f"{missing} short" if missing > 0 else f"{-missing} over" if missing < 0 else ""


def title(view: View) -> str:
    """The warp, and what is done to it."""
    return f"{view.title}, {view.job}"


def place(view: View) -> str:
    """The group under way."""
    return f"{view.group}: group {view.group_number} of {view.groups}"


def group_count(view: View) -> str:
    """How much of the group is counted."""
    return f"{view.counted} of {view.expected} {view.unit}s"


def warp_count(view: View) -> str:
    """How much of the warp is counted; 100 % only when all of it is."""
    return f"{view.done} of {view.total} {view.unit}s, {100 * view.done // view.total} %"


def closed(view: View) -> str:
    """How many groups are closed, and of these how many are off or settled, or were checked."""
    states = [line.state for line in view.summary]
    over = [state for state in states if state not in (GroupState.WAITING, GroupState.OPEN)]
    told = [f"{over.count(state)} {state_name(state, view.compares)}" for state in _NAMED if state in over]
    return ", ".join([f"{len(over)} of {view.groups} groups closed", *told])


def time_left(view: View) -> str:
    """How long it will take yet, and by what; "" where no pace is known."""
    if view.seconds_left is None:
        return ""
    return f"{duration(view.seconds_left)} left, by {'your own pace' if view.pace_known else 'common practice'}"


def duration(seconds: float) -> str:
    """Hours and minutes, no finer than an estimate deserves: to 10 min, below an hour to 5, below ten minutes to 1."""
    minutes = seconds / 60
    if minutes < 1:
        return "less than 1 min"
    step = 1 if minutes < 10 else 5 if minutes < 57.5 else 10
    hours, minutes = divmod(round(minutes / step) * step, 60)
    return "about " + " ".join(part for part in (f"{hours} h" * bool(hours), f"{minutes} min" * bool(minutes)) if part)


def senses(status: Status) -> str:
    """Whether the helper can hear and speak."""
    return f"{'hears you' if status.hears else 'does not hear'}, {'speaks' if status.speaks else 'is silent'}"


def heard(status: Status) -> str:
    """What the helper understood last."""
    return f"heard: {status.heard}" if status.heard else ""


def notice(status: Status) -> str:
    """What the weaver should know about the senses."""
    return f"note: {status.notice}" if status.notice else ""


def table(view: View) -> list[str]:
    """A heading, then for each group: number, name, ends expected and counted, state; "!" before each that is off."""
    wide = min(max(columns(name) for name in ("group", *(line.name for line in view.summary))), WIDEST_NAME)
    rows = [f"{'':6}  {padded('group', wide)}  expected  counted  state"]
    for number, line in enumerate(view.summary, 1):
        mark = "!" if line.state is GroupState.OFF else ""
        rows.append(
            f"{mark:2}{number:4}  {padded(line.name, wide)}  {line.expected:8}  {line.counted:7}  {state(view, line)}"
        )
    return rows


def state(view: View, line: GroupLine) -> str:
    """How a group stands, in words that do not need a colour."""
    word = "OFF" if line.state is GroupState.OFF else state_name(line.state, view.compares)
    closed = line.state in (GroupState.OFF, GroupState.SETTLED)
    return ", ".join(part for part in (word, difference(view, line.expected, line.counted) if closed else "") if part)


def total(view: View) -> str:
    """The whole warp in one line."""
    wrong = [str(number) for number, line in enumerate(view.summary, 1) if line.state is GroupState.OFF]
    verdict = f"OFF: group {', '.join(wrong)}" if wrong else "no group is off"
    return f"{view.done} of {view.total} {view.unit}s counted in {view.groups} groups; {verdict}"

"""What can be touched on the page, and what is written on it. Pure."""

from collections.abc import Iterator, Mapping

from assistant.session.events import Kind
from assistant.session.view import Mode, View

LARGE = (Kind.BACK, Kind.REPEAT, Kind.NEXT)
LABELS: Mapping[Kind, str] = {
    Kind.BACK: "Back",
    Kind.REPEAT: "Repeat",
    Kind.NEXT: "Next",
    Kind.SHORT: "Short",
    Kind.OVER: "Over",
    Kind.DONE: "Used up",
    Kind.UNEVEN: "Uneven",
    Kind.FIND: "Find the mistake",
    Kind.UNSURE: "Not sure",
    Kind.REDO: "Do it again",
    Kind.SETTLE: "It is right",
    Kind.WHERE: "Where am I?",
    Kind.PAUSE: "Pause",
    Kind.QUIETER: "Quieter",
    Kind.LOUDER: "Louder",
    Kind.SLOWER: "Slower",
    Kind.FASTER: "Faster",
}
IN_MODE: Mapping[tuple[Kind, Mode], str] = {
    (Kind.NEXT, Mode.CLOSING): "Even",
    (Kind.NEXT, Mode.PARTWAY): "None of it",
    (Kind.NEXT, Mode.OFF): "Go on, still off",
    (Kind.NEXT, Mode.ASKING): "On no other",
    (Kind.NEXT, Mode.FOUND): "Set it right",
    (Kind.NEXT, Mode.SURE): "Yes",
    (Kind.NEXT, Mode.PAUSED): "Go on",
    (Kind.NEXT, Mode.FINISHED): "Leave",
    (Kind.BACK, Mode.OFF): "Open again",
    (Kind.BACK, Mode.SURE): "No",
    (Kind.BACK, Mode.FINISHED): "Open again",
}
IN_JOB: Mapping[tuple[str, Mode], str] = {  # of next, where a pass compares
    ("check", Mode.CALLING): "It differs",
    ("read", Mode.CALLING): "No further end",
    ("read", Mode.CLOSING): "No further end",
}
WHERE_MEANT: Mapping[Kind, tuple[Mode, ...]] = {  # elsewhere it is another way of saying what stands there already
    Kind.DONE: (Mode.CALLING,),
    Kind.UNEVEN: (Mode.CALLING, Mode.CLOSING),
    Kind.FIND: (Mode.PARTWAY, Mode.OFF, Mode.FINISHED),
    Kind.REDO: (Mode.PARTWAY, Mode.OFF, Mode.ASKING, Mode.FOUND, Mode.FINISHED),
    Kind.SETTLE: (Mode.PARTWAY, Mode.OFF, Mode.ASKING, Mode.FOUND, Mode.FINISHED),
    Kind.PAUSE: tuple(mode for mode in Mode if mode is not Mode.PAUSED),
}


def large(view: View) -> dict[str, dict[str, object]]:
    """The label of each of the three large areas, and whether it means something now."""
    return {
        kind.value: {"label": label(view, kind) if kind in view.offers else LABELS[kind], "on": kind in view.offers}
        for kind in LARGE
    }


def small(view: View) -> list[dict[str, str]]:
    """The further things that mean something now, the most telling first."""
    return [{"do": kind.value, "label": label(view, kind)} for kind in _small(view)]


def _small(view: View) -> Iterator[Kind]:
    for kind in LABELS:
        if kind not in LARGE and kind in view.offers and view.mode in WHERE_MEANT.get(kind, (view.mode,)):
            yield kind


def label(view: View, kind: Kind) -> str:
    """What is written on a button."""
    in_job = IN_JOB.get((view.job, view.mode)) if kind is Kind.NEXT else None
    return in_job or IN_MODE.get((kind, view.mode), LABELS[kind])

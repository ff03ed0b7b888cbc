"""A View and a Status -> what the page is told, as JSON, and what buttons say, in the words of all screens. Pure."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from html import escape

from assistant.senses.screen.regions import bands, place, segments
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Kind
from assistant.session.view import ALARM, Band, ModeName, Status, View

WIDE = 1000  # parts the map is divided into, to say where the place now is

LARGE = (Kind.BACK, Kind.REPEAT, Kind.NEXT)
SMALL = (  # in the order in which they are shown
    *(
        Kind.SHORT,
        Kind.OVER,
        Kind.FINISHED,
        Kind.UNEVEN,
        Kind.FIND,
        Kind.UNSURE,
        Kind.REDO,
        Kind.SETTLE,
        Kind.RESUME,
        Kind.HEDDLE_LEFT,
        Kind.HEDDLE_MISSING,
        Kind.PASS_ON,
        Kind.GO_TO,
        Kind.WHERE,
    ),
    *(Kind.PAUSE, Kind.QUIETER, Kind.LOUDER, Kind.SLOWER, Kind.FASTER),
)
IN_MODE: Mapping[tuple[Kind, ModeName], str] = {  # where an event means something narrower: a label of its own
    (Kind.NEXT, ModeName.CLOSING): "even",
    (Kind.RESUME, ModeName.OFF): "go on, still off",
    (Kind.NEXT, ModeName.ASKING): "on no other",
    (Kind.NEXT, ModeName.FOUND): "set it right",
    (Kind.NEXT, ModeName.THERE): "further on",
    (Kind.NEXT, ModeName.SURE): "yes",
    (Kind.NEXT, ModeName.PAUSED): "go on",
    (Kind.NEXT, ModeName.COMPLETE): Kind.LEAVE,
    (Kind.BACK, ModeName.PARTWAY): "none of it",
    (Kind.BACK, ModeName.OFF): "open again",
    (Kind.BACK, ModeName.SURE): "no",
    (Kind.BACK, ModeName.COMPLETE): "open again",
}
IN_JOB: Mapping[tuple[Kind, str, ModeName], str] = {  # where a pass compares
    (Kind.NEXT, "check", ModeName.CALLING): "as called",
    (Kind.FIND, "check", ModeName.CALLING): "it differs",
    (Kind.FIND, "read", ModeName.CLOSING): "it differs",
    (Kind.NEXT, "read", ModeName.CALLING): "no further end",
    (Kind.NEXT, "read", ModeName.CLOSING): "no further end",
}
LOOKING = (ModeName.ASKING, ModeName.FOUND, ModeName.THERE)
WHERE_MEANT: Mapping[Kind, tuple[ModeName, ...]] = {  # elsewhere it is another way of saying what stands there already
    Kind.FINISHED: (ModeName.CALLING,),
    Kind.UNEVEN: (ModeName.CALLING, ModeName.CLOSING),
    Kind.FIND: (ModeName.CALLING, ModeName.CLOSING, *ALARM, ModeName.THERE, ModeName.COMPLETE),
    Kind.REDO: (ModeName.CALLING, ModeName.CLOSING, *ALARM, *LOOKING, ModeName.COMPLETE),
    Kind.SETTLE: (*ALARM, *LOOKING, ModeName.COMPLETE),
    Kind.HEDDLE_LEFT: (ModeName.CLOSING, ModeName.OFF),
    Kind.HEDDLE_MISSING: (ModeName.CLOSING, ModeName.OFF, ModeName.ASKING),
    Kind.RESUME: (ModeName.OFF,),
    Kind.PAUSE: tuple(mode for mode in ModeName if mode is not ModeName.PAUSED),
}


def filled(html: str, words: ScreenWords, sitting: str) -> str:
    """The page of a sitting with its texts in a language, where the layout has {{their keys}}."""
    labels = {str(kind): words.glossary.label(kind) for kind in LARGE}
    own = {"lang": words.code, "sitting": sitting, **{f"label {kind}": label for kind, label in labels.items()}}
    keys = ", ".join(words.keys())
    return re.sub(r"{{(.+?)}}", lambda key: escape(own.get(key[1]) or words.text(key[1], keys=keys, **labels)), html)


def now(words: ScreenWords, view: View, status: Status) -> dict[str, object]:
    """The session at this moment, but for the map."""
    return {
        "step": view.step,
        "mode": view.mode.value,
        "alarm": view.mode in ALARM,
        "calling": view.mode is ModeName.CALLING,
        "title": words.title(view),
        "place": words.place(view),
        "figures": [{"text": figure.text, "caption": figure.caption} for figure in words.from_afar(view)],
        "following": words.following(view),
        "said": words.call(view) or words.asked(view),
        "aside": words.aside(view),
        "taken": words.taken(view),
        "asked": words.asked(view),
        "group": words.group_count(view),
        "warp": words.warp_count(view),
        "left": words.time_left(view),
        "senses": words.senses(status),
        "well": status.hears and status.speaks,
        "heard": words.heard(status),
        "notice": words.notice(status),
        "yarns": _yarns(words, view),
        "large": large(words, view),
        "small": small(words, view),
        "largest": view.largest,
        "reads": view.reads,
        "goes": Kind.GO_TO.value if Kind.GO_TO in view.offers else "",
        "table": words.table(view) if view.mode is ModeName.COMPLETE else [],
        "total": words.total(view) if view.mode is ModeName.COMPLETE else "",
    }


def warp(words: ScreenWords, view: View) -> dict[str, object]:
    """The map."""
    return {
        "place": place(view, WIDE),
        "wide": WIDE,
        "closed": words.closed(view),
        "groups": [
            {
                "start": segment.start,
                "units": segment.units,
                "counted": segment.counted,
                "state": segment.state,
                "here": segment.number == view.group_number,
                "words": words.group(view, segment.number),
                "bands": [{"colour": band.colour, "ends": band.ends} for band in bands(view, segment)],
            }
            for segment in segments(view)
        ],
    }


def _yarns(words: ScreenWords, view: View) -> list[dict[str, object]]:
    """Each yarn of the call once, in the order in which they come."""
    ends = Counter[tuple[str, str]]()
    for band in view.yarns:
        ends[band.yarn, band.colour] += band.ends
    called = (Band(yarn, colour, count) for (yarn, colour), count in ends.items() if yarn or colour)
    return [{"name": band.yarn or words.text("yarn"), "colour": band.colour, "ends": band.ends} for band in called]


def large(words: ScreenWords, view: View) -> dict[str, dict[str, object]]:
    """The label of each of the three large areas, and whether it means something now."""
    return {
        kind.value: {
            "label": label(words, view, kind) if kind in view.offers else words.glossary.label(kind),
            "on": kind in view.offers,
        }
        for kind in LARGE
    }


def small(words: ScreenWords, view: View) -> list[dict[str, str]]:
    """The further things that mean something now, the most telling first."""
    return [{"do": kind.value, "label": label(words, view, kind)} for kind in _small(view)]


def _small(view: View) -> Iterator[Kind]:
    for kind in SMALL:
        returns = kind is Kind.RESUME and view.home
        if kind in view.offers and (returns or view.mode in WHERE_MEANT.get(kind, (view.mode,))):
            yield kind


def label(words: ScreenWords, view: View, kind: Kind) -> str:
    """What is written on a button."""
    in_mode = IN_MODE.get((kind, view.mode), kind)
    return words.glossary.label(IN_JOB.get((kind, view.job, view.mode), in_mode))

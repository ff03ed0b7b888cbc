"""A View and a Status -> what the page is told, as JSON, and what buttons say, in the words of all screens. Pure."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from html import escape

from assistant.senses.screen.regions import bands, called, place, segments
from assistant.senses.screen.shown import Placard, shown
from assistant.senses.screen.words import ScreenWords
from assistant.session.events import Kind
from assistant.session.view import ALARM, ModeName, Status, View, meaning, yes_or_no

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
# What stands in a place of its own: the first of these that means something.
APART: Mapping[ModeName, tuple[Kind, ...]] = {
    ModeName.CLOSING: (Kind.NEXT,),
    ModeName.OFF: (Kind.FIND, Kind.REDO),
    ModeName.ASKING: (Kind.NEXT,),
    ModeName.FOUND: (Kind.NEXT,),
    ModeName.SURE: (Kind.NEXT,),
    ModeName.COMPLETE: (Kind.NEXT,),
}


def filled(html: str, words: ScreenWords, facts: Mapping[str, str]) -> str:
    """The page with its texts in a language, and these facts, where the layout has {{their keys}}."""
    labels = {str(kind): words.glossary.label(kind) for kind in (*LARGE, Kind.HELP, Kind.LEAVE, Kind.GO_TO)}
    own = {"lang": words.code, **facts, **{f"label {kind}": label for kind, label in labels.items()}}
    keys = ", ".join(words.keys())
    return re.sub(
        r"{{(.+?)}}",
        lambda key: escape(own[key[1]] if key[1] in own else words.text(key[1], keys=keys, **labels)),
        html,
    )


def now(words: ScreenWords, view: View, status: Status) -> dict[str, object]:
    """The session at this moment, but for the map."""
    told = shown(words, view)
    return {
        "step": view.step,
        "job": view.job,
        "mode": view.mode.value,
        "alarm": view.mode in ALARM,
        "calling": view.mode is ModeName.CALLING,
        "title": words.title(view),
        "place": words.place(view),
        "figures": [_figure(piece) for piece in told.pieces],
        "row": told.row,
        "captioned": told.captioned,
        "range": told.place,
        "stand": asdict(told.stand) if told.stand else None,
        "pointed": asdict(told.pointed) if told.pointed else None,
        "knots": [asdict(knot) for knot in told.knots],
        "following": told.following,
        "said": words.became(view, status),
        "alarms": words.alarms(view, status),
        "perCall": view.size_option,
        "aside": words.aside(view),
        "taken": words.taken(view),
        "asked": words.asked(view),
        "group": words.group_count(view),
        "warp": words.warp_count(view),
        "left": words.time_left(view),
        "hints": _hints(words, view) if words.kind(status.heard) is Kind.HELP else [],
        "senses": words.senses(status),
        "well": status.hears and status.speaks,
        "heard": words.heard(status),
        "notice": words.notice(status),
        "yarns": [asdict(yarn) for yarn in told.yarns],
        "complete": view.mode is ModeName.COMPLETE,
        "apart": {"do": kind.value, "label": label(words, view, kind)} if (kind := apart(view)) else None,
        "large": large(words, view),
        "small": small(words, view),
        "refused": view.refused,
        "numbers": words.numbers(view),
        "largest": view.largest,
        "pad": view.largest > 0 and not yes_or_no(view.mode, view.offers),
        "least": min(view.answers, default=1),
        "reads": view.reads,
        "goes": Kind.GO_TO.value if Kind.GO_TO in view.offers else "",
        "table": words.table(view) if view.mode is ModeName.COMPLETE else [],
        "total": words.total(view) if view.mode is ModeName.COMPLETE else "",
    }


def _hints(words: ScreenWords, view: View) -> list[dict[str, str]]:
    """What can be said or pressed, a row each."""
    return [
        {"label": label, "say": "" if said.lower() == label.lower() else said, "press": ",  ".join(keys)}
        for label, said, keys in words.ways(view)
    ]


def hangs(view: View) -> dict[str, object]:
    """What of the warp does not change from call to call: where it begins, and how its ends lie in their colours."""
    return {
        "start": view.start,
        "groups": [
            {
                "start": segment.start,
                "units": segment.units,
                "outward": segment.outward,
                "bands": [[band.colour, band.ends] for band in bands(view, segment)],
            }
            for segment in segments(view)
        ],
    }


def warp(words: ScreenWords, view: View) -> dict[str, object]:
    """What of the warp changes: how each group stands, and where the call is."""
    return {
        "place": place(view, WIDE),
        "call": called(view),
        "closed": words.closed(view),
        "groups": {
            str(segment.number - 1): {
                "counted": segment.counted,
                "state": segment.state,
                "here": segment.number == view.group_number,
                "words": words.group(view, segment.number),
            }
            for segment in segments(view)
        },
    }


def _figure(piece: Placard) -> dict[str, object]:
    return {"lines": list(piece.lines), "caption": piece.caption, "dyes": [asdict(dye) for dye in piece.dyes]}


def apart(view: View) -> Kind | None:
    """What is done in a place of its own, where no finger that said "next" meets it."""
    return next((kind for kind in APART.get(view.mode, ()) if kind in view.offers), None)


def large(words: ScreenWords, view: View) -> dict[str, dict[str, object]]:
    """The label of each of the three large areas, and whether it means something there now."""
    on = [kind for kind in LARGE if kind in view.offers and kind is not apart(view)]
    return {
        kind.value: {"label": label(words, view, kind) if kind in on else words.glossary.label(kind), "on": kind in on}
        for kind in LARGE
    }


def small(words: ScreenWords, view: View) -> list[dict[str, str]]:
    """The further things that mean something now, the most telling first."""
    return [{"do": kind.value, "label": label(words, view, kind)} for kind in _small(view)]


def _small(view: View) -> Iterator[Kind]:
    meant = {hint.kind for hint in view.hints}
    yield from (kind for kind in SMALL if kind in meant and kind in view.offers and kind is not apart(view))


def label(words: ScreenWords, view: View, kind: Kind) -> str:
    """What is written on a button."""
    return words.glossary.label(meaning(kind, view.mode, view.job, view.offers))

"""A View and a Status -> what the page is told, as JSON. Pure. Words are those of the other screens."""

from collections import Counter

from assistant.senses.page.buttons import large, small
from assistant.senses.screen import words
from assistant.senses.screen.strip import bands, place, segments, told
from assistant.session.view import ALARM, Band, Mode, Status, View

WIDE = 1000  # parts the map is divided into, to say where the place now is


def now(view: View, status: Status) -> dict[str, object]:
    """The session at this moment, but for the map."""
    return {
        "step": view.step,
        "mode": view.mode.value,
        "alarm": view.mode in ALARM,
        "calling": view.mode is Mode.CALLING,
        "title": words.title(view),
        "place": words.place(view),
        "figures": [{"text": figure.text, "caption": figure.caption} for figure in words.from_afar(view)],
        "following": f"then {view.following}" if view.following else "",
        "said": view.called or words.asked(view),
        "aside": view.aside,
        "asked": words.asked(view),
        "group": words.group_count(view),
        "warp": words.warp_count(view),
        "left": words.time_left(view),
        "senses": words.senses(status),
        "well": status.hears and status.speaks,
        "heard": words.heard(status),
        "notice": words.notice(status),
        "yarns": _yarns(view),
        "large": large(view),
        "small": small(view),
        "largest": view.largest,
        "table": words.table(view) if view.mode is Mode.FINISHED else [],
        "total": words.total(view) if view.mode is Mode.FINISHED else "",
    }


def warp(view: View) -> dict[str, object]:
    """The map."""
    return {
        "place": place(view, WIDE),
        "wide": WIDE,
        "closed": words.closed(view),
        "groups": [
            {
                "start": segment.start,
                "units": segment.units,
                "counted": min(segment.counted, segment.units),
                "state": segment.state,
                "here": segment.number == view.group_number,
                "words": told(view, segment),
                "bands": [_yarn(band) for band in bands(view, segment)],
            }
            for segment in segments(view)
        ],
    }


def _yarns(view: View) -> list[dict[str, object]]:
    """Each yarn of the call once, in the order in which they come."""
    ends = Counter[tuple[str, str]]()
    for band in view.yarns:
        ends[band.yarn, band.colour] += band.ends
    return [_yarn(Band(yarn, colour, count)) for (yarn, colour), count in ends.items() if yarn or colour]


def _yarn(band: Band) -> dict[str, object]:
    return {"name": band.yarn, "colour": band.colour, "ends": band.ends}

"""Keys as textual reports them -> the plain names and times that the pedal and the keys know."""

import time

from textual import events


def key_name(event: events.Key) -> str:
    """A printable key by its character in lower case, any other by name: "n", "+", "space", "pageup", "ctrl+c"."""
    if event.character and event.is_printable and not event.character.isspace():
        return event.character.lower()
    return event.key


def arrival(event: events.Key) -> float:
    """When the key arrived, in seconds since the epoch; it may have waited for something to be drawn."""
    waited = events.Event().time - event.time
    return time.time() - waited

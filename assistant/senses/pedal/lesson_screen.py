"""The lesson for a pedal that types: listens to the keys of this terminal."""

import time

from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Static

from assistant.senses.pedal.lesson import ASK, Lesson
from assistant.senses.screen.key_names import arrival, key_name

GLANCE = 0.1  # seconds between looks at whether the lesson is over


class LessonScreen(App[Lesson], inherit_bindings=False):
    """Shows what is asked and the keys that came; returns the lesson when it is over, nothing after Ctrl-C."""

    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { padding: 1 2; } Static { margin-bottom: 1; }"

    def __init__(self) -> None:
        super().__init__()
        self._lesson = Lesson(time.time())

    def compose(self) -> ComposeResult:
        yield Static(ASK)
        yield Static(id="keys", markup=False)

    def on_mount(self) -> None:
        self.set_interval(GLANCE, self._look)

    def on_key(self, event: events.Key) -> None:
        key = key_name(event)
        if key == "ctrl+c":
            self.exit()
        elif self._lesson.press(key, arrival(event)):
            lines = (f"switch {number}: {name}" for number, name in enumerate(self._lesson.keys, 1))
            self.query_one("#keys", Static).update("\n".join(lines))

    def _look(self) -> None:
        if self._lesson.over(time.time()):
            self.exit(self._lesson)

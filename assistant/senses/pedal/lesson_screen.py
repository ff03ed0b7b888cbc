"""The lesson for a pedal that types: listens to the keys of this terminal."""

import time

from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Static

from assistant.senses.pedal.lesson import ASK, Lesson
from assistant.senses.screen.typing import arrival, key_name

GLANCE = 0.1  # seconds between looks at whether the lesson is over


class LessonScreen(App[None], inherit_bindings=False):
    """Shows what is asked and the keys that came; ends with the lesson, or at once with Ctrl-C."""

    ENABLE_COMMAND_PALETTE = False
    CSS = "Screen { padding: 1 2; } Static { margin-bottom: 1; }"

    def __init__(self) -> None:
        super().__init__()
        self.lesson = Lesson(time.time())

    @classmethod
    def held(cls) -> Lesson:
        """Hold the lesson."""
        screen = cls()
        screen.run(mouse=False)
        return screen.lesson

    def compose(self) -> ComposeResult:
        yield Static(ASK)
        yield Static(id="keys")

    def on_mount(self) -> None:
        self.set_interval(GLANCE, self._look)

    def on_key(self, event: events.Key) -> None:
        key = key_name(event)
        if key == "ctrl+c":
            self.exit()
        elif self.lesson.press(key, arrival(event)):
            lines = (f"switch {number}: {name}" for number, name in enumerate(self.lesson.keys, 1))
            self.query_one("#keys", Static).update("\n".join(lines))

    def _look(self) -> None:
        if self.lesson.over(time.time()):
            self.exit()

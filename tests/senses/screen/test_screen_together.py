"""Several screens at once."""

from at_the_loom import CALLING, OFF, WELL
from memory import Memory

from assistant.senses.screen import Together


def test_all_show_the_same_and_the_first_runs() -> None:
    screen, display = Memory(), Memory()
    typed: list[str] = []
    together = Together(screen, display)

    def main() -> None:
        together.show(CALLING, WELL)
        screen.on_key("n", 1.0)
        together.show(OFF, WELL)

    together.run(main, lambda key, at: typed.append(key))
    assert screen.shown == display.shown == [(CALLING, WELL), (OFF, WELL)]
    assert typed == ["n"]

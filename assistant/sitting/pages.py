"""Pages that stand in for the computer's loudspeaker and microphone: joins them to mouth, ear and loop."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from assistant.meaning import Tell
from assistant.senses.ear import Heard
from assistant.senses.ear.microphone import Ear
from assistant.senses.mouth.speaker import Speaker
from assistant.sitting.loop import LOUDSPEAKER, MICROPHONE, Loop

if TYPE_CHECKING:
    from assistant.senses.page.page import Page
    from assistant.senses.page.standing_in import Became


def speak_by_page(page: "Page", mouth: Speaker, loop: Loop) -> None:
    """Let what is said sound at a page where the weaver wishes it; every screen tells where."""
    page.sound(mouth, _told(loop, LOUDSPEAKER, Tell("page fell silent")))


def listen_by_page(page: "Page", ear: Ear[Heard], loop: Loop) -> None:
    """Let the ear listen through a page where the weaver wishes it; every screen tells so."""
    page.listen(ear, _told(loop, MICROPHONE, Tell("page stopped listening")))


def _told(loop: Loop, device: str, lost: Tell) -> Callable[["Became"], None]:
    """What tells the loop whether a page stands in for a device."""
    from assistant.senses.page.standing_in import Became

    def became(now: "Became") -> None:
        loop.stand_in(device, now is Became.HERE)
        loop.notify(f"page {device}", lost if now is Became.LOST else None)

    return became

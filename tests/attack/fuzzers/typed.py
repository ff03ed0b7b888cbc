"""What is typed and touched: answers to `find`, keys, messages of the page; and sessions of any events."""

import json
import random

from random_sessions import live

from assistant.finding import begin, find
from assistant.senses.page.client import BY_HAND, LARGEST_NUMBER, LARGEST_STEP, Played, Switched, Touched, Wish, parse
from assistant.senses.pedal.gestures import Role
from assistant.senses.pedal.keys import Keyboard
from assistant.session.events import Kind
from assistant.warp.sequence import loads
from assistant.words.language import load
from fuzzers.engine import Fuzzer, law
from fuzzers.mangled import mangled, number, text

WARP = loads(
    b"{shafts: 8, groups: [{name: rose, thread: 2(1 2 3 4 3/5 2)}, {name: edge, thread: 4(1 2)}]}", "typed.yaml"
)
ANSWERS = (
    "?",
    "b",
    "q",
    "1",
    "2",
    "3",
    "0",
    "3 5",
    "3/5",
    "3,5",
    "-1",
    "--3",
    "1 1",
    "12",
    "",
    "999999",
    "９",
    "3" * 5000,
)


def _answers_given(chance: random.Random) -> bytes:
    answers = [
        chance.choice(ANSWERS) if chance.random() < 0.85 else text(chance)[:200] for _ in range(chance.randint(0, 12))
    ]
    asked = [
        chance.choice(("rose", "edge", "x")),
        chance.choice(("0", "1", "-2", "3", number(chance))),
        chance.choice(("", "3=1", "1=-1", f"{number(chance)}={number(chance)}")),
    ]
    return json.dumps([asked, answers]).encode()


def _answers_tried(data: bytes) -> None:
    try:
        (group, over, left), answers = json.loads(data)
        wanted = int(over)
    except (ValueError, TypeError):
        return
    told = iter([*answers, ""])
    look = begin(WARP, group, wanted, [left] if left else [], None)
    lines = list(find(look, WARP, load("en"), lambda: next(told) + "\n"))
    law(lines and all("\n" not in line for line in lines), "no lines")
    law(len(lines) <= 2 * len(answers) + 4, len(lines), "lines")


KEYS = (
    "space",
    "enter",
    "n",
    "r",
    "b",
    "backspace",
    "d",
    "u",
    "s",
    "o",
    "a",
    "f",
    "?",
    "t",
    "p",
    "g",
    "w",
    "m",
    "+",
    "-",
    "<",
    ">",
    "q",
    "ctrl+c",
    "f1",
    "pageup",
)


def _keys_given(chance: random.Random) -> bytes:
    pressed = []
    for _ in range(chance.randint(1, 30)):
        key = chance.choice((chance.choice(KEYS), chance.choice("0123456789"), number(chance), text(chance)[:50]))
        pressed.append([key, chance.choice((0.0, 0.01, 0.03, 0.3, 1.0, 5.0, -3600.0))])
    return json.dumps([chance.random() < 0.5, pressed]).encode()


def _keys_tried(data: bytes) -> None:
    try:
        held, pressed = json.loads(data)
        pressed = [(str(key), float(after)) for key, after in pressed]
    except (ValueError, TypeError):
        return
    keyboard, at, events = Keyboard({"f1": Role.ONE, "pageup": list(Role)[-1]}, held), 1000.0, []
    for key, after in pressed:
        at += after
        events += keyboard.press(key, at)
    events += keyboard.at(at + 60)
    law(len(events) <= 3 * len(pressed), len(events), "events")
    for event in events:
        law((event.number is not None) == (event.kind is Kind.NUMBER) or event.kind in (Kind.SHORT, Kind.OVER), event)
        law(event.number is None or 0 <= event.number < 10**6, event)


WHOLES = (0, 1, LARGEST_STEP, LARGEST_STEP + 1, -1, 1.5, "1", None, True)


def _message_given(chance: random.Random) -> bytes:
    told = {"step": chance.choice(WHOLES), "at": chance.choice(WHOLES)}
    if chance.random() < 0.2:
        wish = {chance.choice(("speak", "listen")): chance.choice((True, False, 1))}
        played = {name: chance.choice(WHOLES) for name in ("played", "got")}
        told = {"turn": chance.choice(WHOLES), **chance.choice((wish, played))}
    elif chance.random() < 0.3:
        told |= {"switch": chance.choice(("f1", "x", 3)), "down": chance.choice((True, False, 1))}
    else:
        told |= {"do": chance.choice([*(kind.value for kind in Kind), "x", 3, None])}
        told |= {"finger": chance.choice((True, False, 1))}
    if chance.random() < 0.4:
        told |= {
            chance.choice(("number", "more")): chance.choice(
                (0, 5, LARGEST_NUMBER, LARGEST_NUMBER + 1, -1, 2.0, True, "3")
            )
        }
    data = json.dumps(told).encode()
    return (
        data
        if chance.random() < 0.4
        else mangled(chance, data, (b'{"step": 1, "at": 0, "do": "next", "finger": true}',))
    )


def _message_tried(data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    said = parse(text)
    if said is None:
        return
    told = json.loads(text)
    if isinstance(said, Wish | Played):
        as_told = {said.sense.value: said.on} if isinstance(said, Wish) else {"played": said.samples, "got": said.got}
        law(told == {**as_told, "turn": said.turn}, said)
        return
    for name, whole in (("step", said.step), ("at", said.at)):
        law(type(told[name]) is int and 0 <= whole <= LARGEST_STEP and whole == told[name], said)
    when = {"step": said.step, "at": said.at}
    if isinstance(said, Switched):
        law(told == {**when, "switch": said.key, "down": said.down}, said)
    if isinstance(said, Touched):
        number = {} if said.number is None else {"number": said.number}
        law(told == {**when, "do": said.kind.value, "finger": said.finger, **number}, said)
        law(said.kind in BY_HAND.values() and (said.number is not None or said.kind is not Kind.NUMBER), said)


def _session_tried(data: bytes) -> None:
    live(int.from_bytes(data), closely=data[0] % 10 == 0)


FUZZERS = (
    Fuzzer("answers to find", 8_000, _answers_given, _answers_tried),
    Fuzzer("keys", 100_000, _keys_given, _keys_tried),
    Fuzzer("messages of the page", 160_000, _message_given, _message_tried),
    Fuzzer("sessions", 3_000, lambda chance: chance.randbytes(4), _session_tried),
)

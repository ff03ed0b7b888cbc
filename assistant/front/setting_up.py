"""The leaves that set up: language and name, sound, ear, pedal, and every setting that stays. Pure."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from assistant.front.values import HALL, STEPS, Asks, Doing, Known, Leaf, LeafName, Opened, Pick
from assistant.meaning import Tell
from assistant.senses.mouth import FASTEST, LOUDEST, SLOWEST, SOFTEST

YES_OR_NO = ("yes", "no")
CALL = "1, 2, 3, 4"
LOUDER_DB, FASTER = 3, 15  # a step of the volume, and of the speed in words a minute


def step_told(leaf: Leaf) -> tuple[Tell, ...]:
    """How far one has been led, while one is."""
    return (Tell("step", number=STEPS.index(leaf.name) + 1, count=len(STEPS)),) if leaf.first else ()


def go_on(leaf: Leaf) -> tuple[Pick, ...]:
    """To the next step, with nothing done here."""
    if not leaf.first:
        return ()
    after = _after(leaf)
    return (Pick(Tell("go on") if after != HALL else Tell("to the hall"), to=after),)


def _after(leaf: Leaf) -> Leaf:
    """The next step; where one is not led, the same leaf."""
    if not leaf.first:
        return leaf
    number = STEPS.index(leaf.name) + 1
    return Leaf(STEPS[number], first=True) if number < len(STEPS) else HALL


def _language(leaf: Leaf, known: Known) -> Opened:
    after = Leaf(LeafName.NAME, first=True) if leaf.first else leaf
    names = sorted(known.languages.items(), key=lambda each: each[0] != known.code)
    picks = [
        Pick(
            name,
            lines=(known.setting("language", code),),
            to=after,
            is_so=code == known.value("language") and not leaf.first,
        )
        for code, name in names
    ]
    out = (Pick(Tell("leave out"), to=after), Pick(Tell("leave out all"), to=HALL)) if leaf.first else ()
    return Opened(Tell("language"), (*step_told(leaf), Tell("welcome"))[: 1 + leaf.first], (*picks, *out))


def _name(leaf: Leaf, known: Known) -> Opened:
    after = Leaf(LeafName.SOUND, first=True) if leaf.first else Leaf(LeafName.SET_UP)

    def becomes(text: str) -> Pick:
        return Pick("", lines=(known.setting("weaver", text),) if text else (), to=after)

    asks = Asks(Tell("your name"), becomes, known.value("weaver"))
    return Opened(Tell("name"), (*step_told(replace(leaf, name=LeafName.LANGUAGE)), Tell("name about")), asks=asks)


def _sound(leaf: Leaf, known: Known) -> Opened:
    voice = () if known.value("voice") else ("--voice", known.engine_voice)
    call = ("speak", CALL, *voice)
    volume, speed = int(known.value("volume") or 0), int(known.value("speed") or 0)
    muted = known.kept("mute")

    def heard(label: str, name: str, value: int) -> Pick:
        return Pick(Tell(label), str(value), (known.setting(name, str(value)), call))

    picks = [
        Pick(Tell("play a call"), lines=(call,)),
        heard("louder", "volume", min(volume + LOUDER_DB, LOUDEST)),
        heard("quieter", "volume", max(volume - LOUDER_DB, SOFTEST)),
        heard("faster", "speed", min(speed + FASTER, FASTEST)),
        heard("slower", "speed", max(speed - FASTER, SLOWEST)),
        Pick(Tell("voices"), lines=(("speak",),), doing=Doing.READ),
        Pick(Tell("another voice"), known.value("voice"), to=Leaf(LeafName.VOICE, first=leaf.first)),
        Pick(Tell("no sound"), lines=(known.setting("mute", "no" if muted else "yes"),), to=_after(leaf), is_so=muted),
    ]
    return Opened(Tell("sound"), (*step_told(leaf), Tell("sound about")), (*picks, *go_on(leaf)))


def _voice(leaf: Leaf, known: Known) -> Opened:
    back = Leaf(LeafName.SOUND, first=leaf.first)

    def becomes(text: str) -> Pick:
        return Pick("", lines=(known.setting("voice", text), ("speak", CALL)) if text else (), to=back)

    return Opened(Tell("another voice"), asks=Asks(Tell("name of voice"), becomes, known.value("voice")))


def _ear(leaf: Leaf, known: Known) -> Opened:
    deaf, headset = known.kept("deaf"), known.kept("headset")
    open_ear = (
        (known.setting("echo-canceller", "no"),) if known.kept("echo-canceller") else ()
    )  # which rules a headset out
    weaver = known.value("weaver")
    after = _after(leaf)
    picks = [
        Pick(Tell("try the ear"), lines=(("hear",),), doing=Doing.TERMINAL),
        Pick(
            Tell("by microphone"),
            Tell("by microphone about"),
            (known.setting("deaf", "no"), known.setting("headset", "no")),
            to=after,
            is_so=not leaf.first and not (deaf or headset),
        ),
        Pick(
            Tell("by headset"),
            Tell("by headset about"),
            (*open_ear, known.setting("deaf", "no"), known.setting("headset", "yes")),
            to=after,
            is_so=headset and not deaf,
        ),
        Pick(Tell("no ear"), Tell("no ear about"), (known.setting("deaf", "yes"),), to=after, is_so=deaf),
    ]
    if weaver and not leaf.first:
        picks.append(Pick(Tell("teach words"), lines=(("teach", "--weaver", weaver),), doing=Doing.TERMINAL))
    return Opened(Tell("ear"), step_told(leaf), (*picks, *go_on(leaf)))


def _pedal(leaf: Leaf, known: Known) -> Opened:
    told = Tell("pedal taught") if known.pedal else Tell("pedal about")
    teach = Pick(Tell("teach pedal"), lines=(("pedal",),), doing=Doing.TERMINAL)
    return Opened(Tell("pedal"), (*step_told(leaf), told, Tell("keypad about")), (teach, *go_on(leaf)))


def _set_up(_: Leaf, known: Known) -> Opened:
    names = (LeafName.LANGUAGE, LeafName.NAME, LeafName.SOUND, LeafName.EAR, LeafName.PEDAL)
    shown = {
        LeafName.LANGUAGE: known.languages.get(known.value("language"), ""),
        LeafName.NAME: known.value("weaver"),
        LeafName.PEDAL: Tell("pedal taught") if known.pedal else "",
    }
    picks = [Pick(Tell(name.value), shown.get(name, ""), to=Leaf(name)) for name in names]
    led = Pick(Tell("led through"), to=Leaf(LeafName.LANGUAGE, first=True))
    return Opened(Tell("set up"), (), (*picks, led))


def _settings(_: Leaf, known: Known) -> Opened:
    picks = [
        Pick(Tell(f"setting {name}"), _shown(one.value), to=Leaf(LeafName.SETTING, (name,)), is_so=one.kept)
        for name, one in known.settings.items()
    ]
    all_of_them = Pick(Tell("show settings"), lines=(("settings",),), doing=Doing.READ)
    return Opened(Tell("settings"), (known.trouble,) if known.trouble else (), (*picks, all_of_them))


def _shown(value: str) -> Tell | str:
    """A value that is yes or no, in words."""
    return Tell(value) if value in YES_OR_NO else value


def _setting(leaf: Leaf, known: Known) -> Opened:
    name = leaf.of[0]
    one = known.settings.get(name)
    if one is None:  # they can no longer be read
        return Opened(Tell("settings"), (known.trouble,) if known.trouble else ())
    picks = [
        Pick(_shown(value), lines=(known.setting(name, value),), to=leaf, is_so=one.kept and one.value == value)
        for value in one.among
    ]
    if not one.among:
        picks.append(Pick(Tell("another value"), one.value, to=Leaf(LeafName.VALUE, leaf.of)))
    if one.kept:
        picks.append(Pick(Tell("as usual"), lines=(known.setting(name, "--forget"),), to=leaf))
    told = (Tell("setting is", value=_shown(one.value)),) if one.value else ()
    return Opened(Tell(f"setting {name}"), told, tuple(picks))


def _value(leaf: Leaf, known: Known) -> Opened:
    name, back = leaf.of[0], Leaf(LeafName.SETTING, leaf.of)

    def becomes(text: str) -> Pick:
        return Pick("", lines=(known.setting(name, text),) if text else (), to=back)

    return Opened(Tell(f"setting {name}"), asks=Asks(Tell("another value"), becomes, known.value(name)))


SETTING_UP: Mapping[LeafName, Callable[[Leaf, Known], Opened]] = {
    LeafName.LANGUAGE: _language,
    LeafName.NAME: _name,
    LeafName.SOUND: _sound,
    LeafName.VOICE: _voice,
    LeafName.EAR: _ear,
    LeafName.PEDAL: _pedal,
    LeafName.SET_UP: _set_up,
    LeafName.SETTINGS: _settings,
    LeafName.SETTING: _setting,
    LeafName.VALUE: _value,
}

"""Settings that stay: how they stand in for options that were not typed, and the command to show and change them."""

from argparse import ArgumentTypeError
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from assistant.cli.arguments import WithJson, WithLanguage, taught_weavers
from assistant.cli.command import Argument, Command, When, argument, flag
from assistant.cli.families import commands
from assistant.errors import SettingsError
from assistant.warp.spelling import did_you_mean, shown

if TYPE_CHECKING:
    from assistant.settings import Setting, Settings


def known(among: Iterable[Command[Any]]) -> dict[str, Argument]:
    """Every option that may stay, by the name of its setting, in the order in which commands have them."""
    found: dict[str, Argument] = {}
    for command in among:
        lasting = {one.lasting: one for one in command.arguments().values() if one.lasting}
        found = {**found, **lasting, **known(command.under)}
    return found


def standing_in(
    command: Command[Any], typed: Sequence[str], weaver: str | None, settings: "Settings"
) -> dict[str, Any]:
    """By field, what is kept of the options of this command that were not typed; `weaver` is the one who was.

    An option that was typed takes the place of any that it does not go together with. Raises SequenceError for a value
    that the option cannot have, or two that do not go together.
    """
    kept = settings.of(settings.whose(weaver))
    arguments = {name: one for name, one in command.arguments().items() if one.lasting in kept}
    said = {one.lasting for one in arguments.values() if one.given(typed)}
    ruled_out = {id(one.either) for one in command.arguments().values() if one.either and one.given(typed)}
    values = dict[str, Any]()
    taken = dict[int, str]()  # of options that do not go together the one that is kept
    for name, one in arguments.items():
        if one.lasting in said or id(one.either) in ruled_out or not _applies(name, kept[one.lasting]):
            continue
        values[name] = value(one, kept[one.lasting])
        if one.either and values[name]:
            if other := taken.get(id(one.either)):
                what = "{name} and {other} do not go together"
                raise kept[one.lasting].error(what, "keep one of them", other=other)
            taken[id(one.either)] = one.lasting
    return values


def value(option: Argument, setting: "Setting") -> Any:
    """What a setting comes to. Raises SequenceError where the option cannot have that."""
    try:
        return option.read(setting.text)
    except (ArgumentTypeError, ValueError) as error:
        raise setting.error("{name}: {why}", why=str(error)) from None


def kept_under(name: str) -> Any:
    """What a setting comes to for the weaver who is kept; None where none is. Raises SequenceError, SettingsError."""
    from assistant.settings import load

    options = known(commands())
    settings = load(options)
    found = settings.of(settings.whose(None)).get(name)
    return value(options[name], found) if found else None


def _applies(field: str, setting: "Setting") -> bool:
    """A weaver who has taught nothing yet is heard as everybody is."""
    if field != "weaver":
        return True
    from assistant.senses.ear.taught import kept_in

    return kept_in(setting.text).exists()


def kept() -> int:
    """How many settings are kept. Raises SequenceError for one that cannot be, SettingsError."""
    from assistant.settings import load

    options = known(commands())
    settings = load(options)
    every = [*settings.everybody.items(), *(item for hers in settings.weavers.values() for item in hers.items())]
    return len([value(options[name], setting) for name, setting in every])


@dataclass(frozen=True, kw_only=True)
class SettingsOptions(WithLanguage, WithJson):
    """Which setting, and what it is to be."""

    name: str | None = argument(
        metavar="NAME", nargs="?", among=lambda: known(commands()), help="which; without it all are shown"
    )
    value: str | None = argument(metavar="VALUE", nargs="?", help="what it is to be from now on")
    whose: str | None = argument("--for", among=taught_weavers, metavar="WEAVER", help="for this weaver alone")
    forget: bool = flag("--forget", help="keep it no longer")


def _settings(options: SettingsOptions) -> None:
    from assistant.output import put

    options_by_name = known(commands())
    if options.name is None:
        _show(options, options_by_name)
        return
    if options.name not in options_by_name:
        hint = did_you_mean(options.name, options_by_name)
        raise SettingsError("there is no setting {name}; {hint}", name=shown(options.name), hint=hint)
    if options.value is None and not options.forget:
        _show(options, {options.name: options_by_name[options.name]})
        return
    put(_keep(options, options_by_name))


def _keep(options: SettingsOptions, by_name: Mapping[str, Argument]) -> str:
    """Change one in the file, and tell."""
    from assistant.settings import WEAVER, change, path

    name, text = str(options.name), options.value
    if options.forget and text is not None:
        raise SettingsError("--forget takes no value; leave out {value}", value=shown(text))
    if name == WEAVER and options.whose:
        raise SettingsError("who the weaver is holds for everybody; leave out --for")
    if text is not None:
        try:
            by_name[name].read(text)
        except (ArgumentTypeError, ValueError) as error:
            raise SettingsError("{name}: {why}", name=name, why=str(error)) from None
    change(name, text, options.whose or "", by_name)
    words = options.printed
    if text is None:
        return words.text("setting forgotten", name=name, file=path())
    if options.whose:
        return words.text("setting kept for", name=name, value=text, weaver=options.whose, file=path())
    return words.text("setting kept", name=name, value=text, file=path())


def _show(options: SettingsOptions, by_name: Mapping[str, Argument]) -> None:
    from assistant.settings import load, path
    from assistant.words.columns import columns, padded

    settings, words = load(known(commands())), options.printed
    kept = settings.of(options.whose or settings.whose(None))
    told = [_told(name, one, kept.get(name)) for name, one in by_name.items()]
    widths = [max(columns(str(row[key])) for row in told) for key in ("name", "value")]

    def lines() -> Iterator[str]:
        for row in told:
            whence = (
                words.text("setting usual") if row["line"] is None else words.text("setting in line", line=row["line"])
            )
            hers = words.text("setting of weaver", weaver=row["weaver"]) if row["weaver"] else ""
            shown = (padded(str(row[key]), width) for key, width in zip(("name", "value"), widths, strict=True))
            yield "  ".join([*shown, ", ".join(filter(None, (whence, hers)))]).rstrip()
        yield words.text("settings lie", file=path())

    options.show(told, lines())


def as_typed(option: Argument, setting: "Setting | None") -> str:
    """What a setting is, as a text: kept, else usual. Raises SequenceError where the option cannot have that."""
    if setting is None:
        usual = option.settings.get("default")
        return ("no", "yes")[usual] if isinstance(usual, bool) else "" if usual is None else str(usual)
    value(option, setting)
    return setting.text


def _told(name: str, option: Argument, setting: "Setting | None") -> dict[str, object]:
    """A setting, its value as it is typed, and where it stands: None for what is usual."""
    line, weaver = (setting.line, setting.weaver or None) if setting else (None, None)
    return {"name": name, "value": as_typed(option, setting), "line": line, "weaver": weaver}


COMMANDS = (
    Command(
        "settings",
        "show the settings that stay, or keep one",
        SettingsOptions,
        _settings,
        When.SETTING_UP,
        mends_settings=True,
    ),
)

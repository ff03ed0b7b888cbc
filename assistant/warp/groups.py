"""The groups of a sequence file: entries, repeated, mirrored and several together, as the groups of a warp, named."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import cycle

from assistant.meaning import Tell
from assistant.warp import colour_order, profile
from assistant.warp.brackets import MOST_NUMBER
from assistant.warp.model import MOST_IN_A_DENT, Beam, End, Group, Yarn
from assistant.warp.notation import parse
from assistant.warp.profile import ProfileKey
from assistant.warp.source import MOST_CHARACTERS, Field, given
from assistant.warp.spelling import did_you_mean, shown
from assistant.warp.threads import Threaded, backwards, calls_backwards

KEYS = (
    "name", "thread", "profile", "key", "yarn", "beam", "sley", "empty_before", "shares_dent", "groups", "mirror",
    "times",
)  # fmt: skip
AROUND = ("groups", "mirror", "times")  # what an entry of several groups may have
UNNAMED = "group"
MOST_EMPTY = 999  # dents before a group
EXAMPLE = "{A: 1 3 2 3, B: 1 4 2 4}"


@dataclass(frozen=True, slots=True)
class Declared:
    """What groups are written with."""

    shafts: int
    blocks: Mapping[str, Threaded]
    keys: Mapping[str, ProfileKey]
    yarns: Mapping[str, Yarn]
    beams: Mapping[str, Beam]


@dataclass(frozen=True, slots=True)
class _Part:
    """A group, and what to point at when its name is wrong."""

    field: Field
    group: Group


def read_groups(field: Field, known: Declared) -> tuple[Group, ...]:
    """All groups, repeats unrolled and named."""
    return _named(_several(field, known))


def threaded(field: Field, blocks: Mapping[str, Threaded], shafts: int) -> Threaded:
    """The threading a field writes, of which there is at least one end."""
    text = field.scalar()
    with field.placed():
        threads = parse(text, blocks, shafts, field.source.most_ends)
    if not threads.items:
        raise field.error("{name} has no ends", "write them, for instance 1 2 3 4")
    return threads


def sley(field: Field) -> tuple[int, ...]:
    """Ends in each dent, repeating."""
    dents = tuple(item.whole(0, MOST_IN_A_DENT) for item in field.items("[2] or [1, 2]"))
    if not any(dents):
        raise field.error("every dent of sley is empty", "give at least one dent an end")
    return dents


def name(field: Field) -> str:
    """What something is called."""
    text = field.text()
    if not text.strip():
        raise field.error("{name} is blank", "write a name, or take the line out")
    return text


def _several(field: Field, known: Declared) -> list[_Part]:
    """The groups of a list of entries."""
    parts: list[_Part] = []
    total, most = 0, field.source.most_ends
    for item in field.items("- thread: 1 2 3 4"):
        entry = Field(Tell("a group"), item.node, item.source)
        keys = entry.entries(KEYS, {})
        once = _around(keys, known) if "groups" in keys else [_single(entry, keys, known)]
        times = given(keys, "times", lambda field: field.whole(1, MOST_NUMBER), 1)
        total += sum(len(part.group.ends) for part in once) * times
        if total > most:
            what = "with this the warp has more than {most:,} ends"
            raise item.error(what, "look for a number too large", most=most)
        if given(keys, "mirror", Field.yes, False):
            once = _mirrored(once)
        parts += once * times
    return parts


def _around(keys: Mapping[str, Field], known: Declared) -> list[_Part]:
    """The groups of an entry that holds several."""
    for key, field in keys.items():
        if key not in AROUND:
            raise field.error("{name} cannot stand beside {other}", "write it in one of them", other="groups")
    return _several(keys["groups"], known)


def _single(entry: Field, keys: Mapping[str, Field], known: Declared) -> _Part:
    """The group of an entry, once."""
    threads = _threads(entry, keys, known)
    ends = threads.ends
    if "yarn" in keys or "beam" in keys:
        yarns = _order(keys["yarn"], known.yarns, "yarn", len(ends)) if "yarn" in keys else [""] * len(ends)
        beams = _order(keys["beam"], known.beams, "beam", len(ends)) if "beam" in keys else [""] * len(ends)
        made = {
            (id(end), yarn, beam): End(end.shafts, yarn, end.joins, beam)
            for end, yarn, beam in dict.fromkeys(zip(ends, yarns, beams, strict=True))
        }
        ends = tuple(made[id(end), yarn, beam] for end, yarn, beam in zip(ends, yarns, beams, strict=True))
    return _Part(
        keys.get("name", entry),
        Group(
            name=given(keys, "name", name, UNNAMED),
            ends=ends,
            sley=given(keys, "sley", sley, ()),
            empty_before=given(keys, "empty_before", lambda field: field.whole(0, MOST_EMPTY), 0),
            shares_dent=given(keys, "shares_dent", Field.yes, False),
            calls=threads.calls,
        ),
    )


def _threads(entry: Field, keys: Mapping[str, Field], known: Declared) -> Threaded:
    """What a group is threaded with."""
    if "profile" not in keys:
        if "thread" not in keys:
            example = "thread: 1 2 3 4"
            raise entry.error("{name} is missing", "add it, for instance {example}", name="thread", example=example)
        if "key" in keys:
            raise keys["key"].needs("profile", "profile: A 3B A")
        return threaded(keys["thread"], known.blocks, known.shafts)
    field = keys["profile"]
    if "thread" in keys:
        raise field.error("{name} cannot stand beside {other}", "keep one of them", other="thread")
    key = _key(field, keys.get("key"), known.keys)
    text = field.scalar()
    with field.placed():
        threads = profile.parse(text, key, field.source.most_ends)
    if not threads.items:
        raise field.error("{name} has no blocks", "write for instance {example}", example="A 3B A")
    return threads


def _key(profiled: Field, field: Field | None, keys: Mapping[str, ProfileKey]) -> ProfileKey:
    """The key a profile is threaded by: the one it names, or the only one."""
    if field is not None:
        named = field.scalar()
        if named not in keys:
            todo = did_you_mean(named, keys) or "add it under {place}, for instance {example}"
            what, example = "there is no key called {key}", f"{named}: {EXAMPLE}"
            raise field.error(what, todo, key=shown(named), place="keys", example=example)
        return keys[named]
    if len(keys) == 1:
        return next(iter(keys.values()))
    if not keys:
        raise profiled.needs("keys", f"keys: {{weave: {EXAMPLE}}}")
    what = "which of the keys this {name} goes by is not said"
    raise profiled.error(what, "add it, for instance {example}", example=f"key: {next(iter(keys))}")


def _order(field: Field, known: Mapping[str, object], kind: colour_order.Kind, ends: int) -> list[str]:
    """The key of the yarn, or beam, of each end."""
    text = field.scalar()
    with field.placed():
        return list(colour_order.over(colour_order.parse(text, known, kind), ends))


def _mirrored(parts: Sequence[_Part]) -> list[_Part]:
    """The groups backwards, each mirrored; dents left empty stay where they are, between two groups or before all."""
    made: dict[int, Group] = {}  # those of an entry stay one
    found = []
    for at in range(len(parts) - 1, -1, -1):
        part, group = parts[at], parts[at].group
        if id(group) not in made:
            made[id(group)] = replace(
                group,
                ends=backwards(group.ends),
                calls=calls_backwards(group.calls),
                sley=_sley_backwards(group.sley, len(group.ends)),
            )
        before = parts[at + 1] if at + 1 < len(parts) else parts[0]
        after = parts[at - 1] if at else parts[-1]
        group = made[id(group)]
        between = (before.group.empty_before, after.group.shares_dent)
        if between != (group.empty_before, group.shares_dent):
            group = replace(group, empty_before=between[0], shares_dent=between[1])
        found.append(_Part(part.field, group))
    return found


def _sley_backwards(dents: tuple[int, ...], ends: int) -> tuple[int, ...]:
    """What fills the dents of so many ends from the other side."""
    if not dents or ends % sum(dents) == 0:
        return dents[::-1]
    filled = []
    for dent in cycle(dents):
        filled.append(min(dent, ends))
        ends -= filled[-1]
        if not ends:
            return tuple(reversed(filled))
    return ()


def _named(parts: Sequence[_Part]) -> tuple[Group, ...]:
    """The groups one by one; those of the same name are numbered from 1."""
    times = Counter(part.group.name for part in parts)
    numbers: Counter[str] = Counter()
    groups = []
    for part in parts:
        name = part.group.name
        if times[name] == 1:
            _check_unnumbered(part.field, name, times)
            groups.append(part.group)
            continue
        if numbers[name] == 0 and len(f"{name} {times[name]}") > MOST_CHARACTERS:
            what = "{name} is, with its number, longer than {most} characters"
            raise part.field.error(what, "shorten it", most=MOST_CHARACTERS)
        numbers[name] += 1
        groups.append(replace(part.group, name=f"{name} {numbers[name]}"))
    return tuple(groups)


def _check_unnumbered(field: Field, called: str, times: Mapping[str, int]) -> None:
    """Raise SequenceError where the name is one that a numbered group gets."""
    stem, _, number = called.rpartition(" ")
    if re.fullmatch("[1-9][0-9]{0,6}", number) and 1 < times.get(stem, 0) >= int(number):
        what = "the name {name} is also given to one of the groups called {groups}"
        raise field.error(what, "choose another name", name=shown(called), groups=shown(stem))

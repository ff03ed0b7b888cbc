"""The blocks of a sequence file, and the keys by which profiles are threaded."""

from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from yaml import MappingNode

from assistant.meaning import Tell
from assistant.warp.groups import EXAMPLE, threaded
from assistant.warp.notation import is_name, names
from assistant.warp.profile import ProfileKey
from assistant.warp.source import Field
from assistant.warp.spelling import shown
from assistant.warp.threads import CALL_ENDS, LONGEST_AT_ONCE, Threaded

JOINT = "joint"  # in a key, beside its blocks: how they follow each other
TIMES_IN_BLOCKS = 10  # as many ends as a warp may have, of all blocks, each written out
MOST_SHOWN = 6  # blocks of a circle worth listing


def read_blocks(field: Field, shafts: int) -> dict[str, Threaded]:
    """Name -> ends; a block may use blocks that stand before or after it."""
    fields: dict[str, Field] = {}
    for block, key, value in field.pairs(Tell("block")):
        if not is_name(block):
            todo = "use letters, digits and _, a letter first"
            raise key.error("{name} cannot be the name of a block", todo, name=shown(block))
        fields[block] = value
    blocks = dict.fromkeys(fields, Threaded(()))
    total, most = 0, TIMES_IN_BLOCKS * field.source.most_ends
    for block in _parts_first(fields):
        blocks[block] = threaded(fields[block], blocks, shafts)
        total += blocks[block].count
        if total > most:
            what = "with this the blocks have more than {most:,} ends"
            raise fields[block].error(what, "repeat in the groups", most=most)
    return blocks


def _parts_first(fields: Mapping[str, Field]) -> Iterable[str]:
    """The names of the blocks, each after those it uses."""
    uses = {name: names(field.scalar()) for name, field in fields.items()}
    parts = {name: used.keys() & fields.keys() for name, used in uses.items()}
    try:
        return list(TopologicalSorter(parts).static_order())
    except CycleError as error:
        circle: list[str] = error.args[1][::-1]  # each block uses the next, the last is the first
        members = set(circle)
        begin = next(name for name in fields if name in members)
        at = circle.index(begin)
        circle = [*circle[at:-1], *circle[:at]]
        way = [*circle[:MOST_SHOWN], *(["…"] if len(circle) > MOST_SHOWN else []), begin]
        what, at = "the block {name} leads back to itself: {way}", uses[begin][way[1]]
        places = {"name": shown(begin), "way": " > ".join(way)}
        raise fields[begin].error(what, "take one of them out", at, **places) from None


def read_keys(field: Field, blocks: Mapping[str, Threaded], shafts: int) -> dict[str, ProfileKey]:
    """Name -> key of profiles."""
    return {named: _key(value, blocks, shafts) for named, _, value in field.pairs(Tell("key"))}


def _key(field: Field, blocks: Mapping[str, Threaded], shafts: int) -> ProfileKey:
    threads: dict[str, Threaded] = {}
    shares = False
    if not isinstance(field.node, MappingNode):
        raise field.error("{name} holds no keys", "write for instance {example}", example=f"keys: {{weave: {EXAMPLE}}}")
    for letter, key, value in field.pairs(Tell("block")):
        if letter == JOINT:
            shares = value.choice("shared", "apart") == "shared"
        elif is_name(letter):
            threads[letter] = threaded(value, blocks, shafts)
        else:
            todo = "use letters, digits and _, a letter first"
            raise key.error("{name} cannot be the name of a block", todo, name=shown(letter))
    if not threads:
        raise field.error("{name} has no blocks", "write for instance {example}", example=EXAMPLE)
    return ProfileKey(threads, shares, not shares and all(map(_can_be_called_whole, threads.values())))


def _can_be_called_whole(block: Threaded) -> bool:
    """Whether it is neither so short that several are called together nor so long that one is cut; nor marked."""
    return CALL_ENDS not in block.items and 2 < len(block.items) <= LONGEST_AT_ONCE

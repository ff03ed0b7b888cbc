"""Mistakes in sequence files: each complaint names the place, what is wrong and what to do."""

import random
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from assistant.errors import SequenceError
from assistant.warp.examples import examples
from assistant.warp.sequence import loads

HEAD = "shafts: 4\n"
GROUPS = "groups: [{thread: 1 2}]\n"
YARNS = "yarns: {flax: {}, rust: {}}\n"
KEYS = "keys: {lace: {A: 1 3 1 3 1 2, B: 1 4 1 4 1 2}}\n"
BEAMS = "beams: {ground: {}, pile: {}}\n"


def complaint(data: bytes) -> str:
    """What is said about a file that cannot be read."""
    with pytest.raises(SequenceError) as caught:
        loads(data, "f.yaml")
    assert caught.value.line >= 1
    assert caught.value.column >= 1
    assert "\n" not in str(caught.value)
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # keys
        ("", "f.yaml:1:1: the file is empty; begin with shafts: and groups:, as in the examples"),
        ("# nothing yet\n", "f.yaml:1:1: the file is empty; begin with shafts: and groups:, as in the examples"),
        ("hello", "f.yaml:1:1: the file holds no keys; write key: value, with a space after the colon"),
        ("- a", "f.yaml:1:1: the file holds no keys; write key: value, with a space after the colon"),
        (HEAD, "f.yaml:1:1: groups is missing; add it, for instance groups: [{thread: 1 2 3 4}]"),
        (GROUPS, "f.yaml:1:1: shafts is missing; add it, for instance shafts: 4"),
        (HEAD + "sely: [2]\n" + GROUPS, "f.yaml:2:1: unknown key 'sely'; did you mean 'sley'?"),
        (HEAD + GROUPS + HEAD, "f.yaml:3:1: the key 'shafts' is given twice; keep one of them"),
        (
            HEAD + "groups:\n  - thread: 1\n    colour: flax",
            "f.yaml:4:5: unknown key 'colour'; known here: name, thread, profile, key, yarn, beam, sley, "
            "empty_before, shares_dent, groups, mirror, times",
        ),
        (HEAD + "groups:\n  - name: a\n", "f.yaml:3:5: thread is missing; add it, for instance thread: 1 2 3 4"),
        (HEAD + "groups: []", "f.yaml:2:9: groups is empty; write for instance - thread: 1 2 3 4"),
        (HEAD + "groups: 1 2 3", "f.yaml:2:9: groups is not a list; write for instance - thread: 1 2 3 4"),
        (HEAD + "groups: [1 2]", "f.yaml:2:10: a group holds no keys; write key: value, with a space after the colon"),
        (HEAD + "? [a]\n: b\n", "f.yaml:2:3: key is a list; write it as text, without [ ] or a - before it"),
        # numbers and words
        ("shafts: four\n" + GROUPS, "f.yaml:1:9: shafts is 'four'; write a whole number from 1 to 64"),
        (
            HEAD + GROUPS + "warping: sideways",
            "f.yaml:3:10: warping is 'sideways'; write back-to-front, front-to-back or tied-on",
        ),
        ("shafts: 65\n" + GROUPS, "f.yaml:1:9: shafts is '65'; write a whole number from 1 to 64"),
        ("shafts: 4.0\n" + GROUPS, "f.yaml:1:9: shafts is '4.0'; write a whole number from 1 to 64"),
        ("shafts:\n" + GROUPS, "f.yaml:1:8: shafts has no value; write it after the colon"),
        ("shafts: {4: 4}\n" + GROUPS, "f.yaml:1:9: shafts holds keys; write it as text, without { } or a colon in it"),
        (HEAD + GROUPS + "sett: 0", "f.yaml:3:7: sett is '0'; write a number greater than 0, for instance 20 or 12.5"),
        (HEAD + GROUPS + "reed: -8", "f.yaml:3:7: reed is '-8'; write a number greater than 0"),
        (
            HEAD + GROUPS + "reed_width: 0",
            "f.yaml:3:13: reed_width is '0'; write a number greater than 0, for instance 20 or 12.5",
        ),
        (HEAD + GROUPS + "reed: 12,5", "f.yaml:3:7: reed is '12,5'; write a number greater than 0"),
        (HEAD + GROUPS + "sett: .inf", "f.yaml:3:7: sett is '.inf'; write a number greater than 0"),
        (HEAD + GROUPS + "sett: 1e999", "f.yaml:3:7: sett is '1e999'; write a number greater than 0"),
        (HEAD + GROUPS + "start: middle", "f.yaml:3:8: start is 'middle'; write right or left"),
        (HEAD + GROUPS + "unit: m", "f.yaml:3:7: unit is 'm'; write inch or cm"),
        (HEAD + GROUPS + "shaft_1: top", "f.yaml:3:10: shaft_1 is 'top'; write front or back"),
        (HEAD + GROUPS + "sley: 2", "f.yaml:3:7: sley is not a list; write for instance [2] or [1, 2]"),
        (HEAD + GROUPS + "sley: [2, -1]", "f.yaml:3:11: sley is '-1'; write a whole number from 0 to 99"),
        (HEAD + GROUPS + "sley: [0, 0]", "f.yaml:3:7: every dent of sley is empty; give at least one dent an end"),
        (HEAD + GROUPS + "heddles: {5: 9}", "f.yaml:3:11: shaft is '5'; write a whole number from 1 to 4"),
        (
            HEAD + GROUPS + "heddles: {1: many}",
            "f.yaml:3:14: the count of shaft 1 is 'many'; write a whole number from 0",
        ),
        (HEAD + "groups: [{thread: 1, times: 0}]", "f.yaml:2:29: times is '0'; write a whole number from 1 to 999,999"),
        (HEAD + GROUPS + "heddles: {1: 9, 01: 8}", "f.yaml:3:17: shaft 1 is given twice; keep one of them"),
        (
            HEAD + GROUPS + f"heddles: {{{'1' * 201}: 9}}",
            "f.yaml:3:11: shaft is longer than 200 characters; shorten it",
        ),
        # titles and names
        (
            HEAD + GROUPS + 'title: "a\\nb"',
            "f.yaml:3:8: title 'a\\nb' is more than a line of plain text; write it on one line",
        ),
        (HEAD + GROUPS + 'title: "\\ud800"', "f.yaml:3:8: title '\\ud800' is more than a line of plain text"),
        (HEAD + GROUPS + f"title: {'a' * 201}", "f.yaml:3:8: title is longer than 200 characters; shorten it"),
        (HEAD + "groups: [{thread: 1, name: ' '}]", "f.yaml:2:28: name is blank; write a name, or take the line out"),
        (
            HEAD + "groups: [{thread: 1, name: a, times: 3}, {thread: 2, name: a 3}]",
            "f.yaml:2:60: the name 'a 3' is also given to one of the groups called 'a'; choose another name",
        ),
        # yarns
        (
            HEAD + GROUPS + "yarns: {a b: {}}",
            "f.yaml:3:9: 'a b' cannot be the key of a yarn; "
            "use letters, digits, - and _, a letter first; its full name goes under name:",
        ),
        (
            HEAD + GROUPS + "yarns: {flax: {colour: beige}}",
            """f.yaml:3:24: colour is 'beige'; write # and six digits in quotes, for instance "#c9b48a\"""",
        ),
        (
            HEAD + GROUPS + "yarns: {flax: {metres_per_kg: 0}}",
            "f.yaml:3:31: metres_per_kg is '0'; write a number greater than 0, for instance 20 or 12.5",
        ),
        (
            HEAD + GROUPS + "yarns: {flax: {count: 16/2}}",
            "f.yaml:3:23: the count '16/2' cannot be read; "
            "write for instance 16/2 Ne, 28/2 Nm, 40 tex, 8400 m/kg or 4200 yd/lb",
        ),
        (
            HEAD + GROUPS + "yarns: {flax: {count: 20/2 tex}}",
            "f.yaml:3:23: the plies in '20/2 tex' cannot be read; write 20 tex x 2, "
            "or R20 tex / 2 where it is 20 tex in all",
        ),
        (
            HEAD + GROUPS + "yarns: {flax: {count: R40 tex x 2}}",
            "f.yaml:3:23: the plies in 'R40 tex x 2' cannot be read; write for instance 16/2 Ne, 20 tex x 2, "
            "or R40 tex / 2 for 40 tex in all",
        ),
        (
            HEAD + GROUPS + "selvedge:\nfloating: 1\n",
            "f.yaml:4:1: unknown key 'floating'; if it belongs under selvedge, indent it",
        ),
        (
            HEAD + GROUPS + "beams:\n  ground:\n  pile:\n",
            "f.yaml:4:10: ground holds no keys; write its keys under it, indented, or { } for none",
        ),
        (
            HEAD + GROUPS + "keys: {A: 1 3, B: 1 4}",
            "f.yaml:3:11: A holds no keys; write for instance keys: {weave: {A: 1 3 2 3, B: 1 4 2 4}}",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A ABBA}]",
            "f.yaml:3:22: the key has no block called 'ABBA'; put spaces between the blocks: A B B A",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A B3}]",
            "f.yaml:3:22: the key has no block called 'B3'; write how many before the block: 3B",
        ),
        (
            HEAD + "groups: [{thread: 1, yarn: flax}]",
            "f.yaml:2:28: there is no yarn called 'flax'; add it under yarns, for instance flax: {name: flax}",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2 flax, 1 rsut",
            "f.yaml:5:19: there is no yarn called 'rsut'; did you mean 'rust'?",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2 flax 1 rust",
            "f.yaml:5:16: a comma is missing before '1'; write for instance 2 flax, 1 rust",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2 flax,",
            "f.yaml:5:15: a yarn is missing beside this comma; write the yarn, or take the comma out",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: flax, 3",
            "f.yaml:5:15: a yarn is missing after this number; write for instance 2 flax, 1 rust",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 0 flax",
            "f.yaml:5:9: 0 ends of a yarn; write how many, or take the yarn out",
        ),
        # threads and blocks
        (HEAD + 'groups: [{thread: ""}]', "f.yaml:2:19: thread has no ends; write them, for instance 1 2 3 4"),
        (HEAD + "groups:\n- thread: # later\n", "f.yaml:3:10: thread has no value; write it after the colon"),
        (
            HEAD + "groups: [{thread: [1, 2]}]",
            "f.yaml:2:19: thread is a list; write it as text, without [ ] or a - before it",
        ),
        (HEAD + "groups:\n- thread: 1 2 5 4", "f.yaml:3:15: there is no shaft 5; this loom has shafts 1 to 4"),
        (HEAD + "groups:\n- thread: 0", "f.yaml:3:11: there is no shaft 0; shafts are numbered from 1"),
        (
            HEAD + "blocks: {rose: 1 2, edge: 1 roze}\n" + GROUPS,
            "f.yaml:2:29: there is no block called 'roze'; did you mean 'rose'?",
        ),
        (
            HEAD + "blocks: {1a: 1 2}\n" + GROUPS,
            "f.yaml:2:10: '1a' cannot be the name of a block; use letters, digits and _, a letter first",
        ),
        (HEAD + "blocks: {a: 1, a: 2}\n" + GROUPS, "f.yaml:2:16: the block 'a' is given twice; keep one of them"),
        (HEAD + "blocks:\n  a: 1 2,\n" + GROUPS, "f.yaml:3:9: a shaft is missing after this comma"),
        (
            HEAD + "blocks: {x: 1, a: 1 b, b: 2 c, c: 3 a a}\n" + GROUPS,
            "f.yaml:2:21: the block 'a' leads back to itself: a > b > c > a; take one of them out",
        ),
        (
            HEAD + "blocks: {a: 2 a}\n" + GROUPS,
            "f.yaml:2:15: the block 'a' leads back to itself: a > a; take one of them out",
        ),
        (
            HEAD + "blocks:\n" + "".join(f"  b{n}: b{(n + 1) % 20}\n" for n in range(20)) + GROUPS,
            "f.yaml:3:7: the block 'b0' leads back to itself: "
            "b0 > b1 > b2 > b3 > b4 > b5 > … > b0; take one of them out",
        ),
        # several groups, mirrors and dents
        (
            HEAD + "groups:\n- {thread: 1, groups: [{thread: 2}]}",
            "f.yaml:3:12: thread cannot stand beside groups; write it in one of them",
        ),
        (
            HEAD + "groups:\n- groups: [{thread: 2}]\n  yarn: flax",
            "f.yaml:4:9: yarn cannot stand beside groups; write it in one of them",
        ),
        (HEAD + "groups: [{groups: []}]", "f.yaml:2:19: groups is empty; write for instance - thread: 1 2 3 4"),
        (
            HEAD + "groups: [{groups: [{name: a}]}]",
            "f.yaml:2:20: thread is missing; add it, for instance thread: 1 2 3 4",
        ),
        (HEAD + "groups: [{thread: 1, mirror: yes}]", "f.yaml:2:30: mirror is 'yes'; write true or false"),
        (HEAD + "groups: [{thread: 1, shares_dent: 1}]", "f.yaml:2:35: shares_dent is '1'; write true or false"),
        (
            HEAD + "groups: [{thread: 1, empty_before: 1000}]",
            "f.yaml:2:36: empty_before is '1000'; write a whole number from 0 to 999",
        ),
        (HEAD + "groups: [{thread: 1, sley: [0]}]", "f.yaml:2:28: every dent of sley is empty; give at least one"),
        (HEAD + "groups: [{thread: 1, sley: 3}]", "f.yaml:2:28: sley is not a list; write for instance [2] or [1, 2]"),
        (
            HEAD + "groups: [{groups: [{thread: 1 2}], times: 60000}]",
            "f.yaml:2:10: with this the warp has more than 100,000 ends; look for a number too large",
        ),
        # profiles
        (
            HEAD + "groups: [{profile: A}]",
            "f.yaml:2:20: profile means nothing without keys; add it, for instance keys: ",
        ),
        (
            HEAD + "groups: [{thread: 1, key: a}]",
            "f.yaml:2:27: key means nothing without profile; add it, for instance",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A, key: lice}]",
            "f.yaml:3:28: there is no key called 'lice'; did you mean 'lace'?",
        ),
        (
            HEAD + "groups: [{profile: A, key: lace}]",
            "f.yaml:2:28: there is no key called 'lace'; "
            "add it under keys, for instance lace: {A: 1 3 2 3, B: 1 4 2 4}",
        ),
        (
            HEAD + "keys: {a: {A: 1}, b: {A: 2}}\ngroups: [{profile: A}]",
            "f.yaml:3:20: which of the keys this profile goes by is not said; add it, for instance key: a",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A, thread: 1}]",
            "f.yaml:3:20: profile cannot stand beside thread; keep one of them",
        ),
        (
            HEAD + KEYS + "groups: [{profile: '', times: 2}]",
            "f.yaml:3:20: profile has no blocks; write for instance A 3B A",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A 3C}]",
            "f.yaml:3:23: the key has no block called 'C'; known here: A, B",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A 3 B}]",
            "f.yaml:3:22: '3' cannot be read; write A 3B 2(A C) or mirror(A B), with the names of the key",
        ),
        (HEAD + KEYS + "groups: [{profile: A (B)}]", "f.yaml:3:22: this bracket has no count; put how many times"),
        (
            HEAD + KEYS + "groups: [{profile: 0A}]",
            "f.yaml:3:20: 0 times leaves nothing; write how many times, or take it",
        ),
        (
            HEAD + KEYS + "groups: [{profile: -A}]",
            "f.yaml:3:20: a block is missing before this hyphen; write the block, or take the hyphen out",
        ),
        (
            HEAD + KEYS + "groups: [{profile: A-}]",
            "f.yaml:3:21: a block is missing after this hyphen; write the block, or take the hyphen out",
        ),
        (HEAD + KEYS + "groups: [{profile: 999999A}]", "f.yaml:3:20: with this there are more than 100,000 ends"),
        (
            HEAD + "keys: {a: {}}\n" + GROUPS,
            "f.yaml:2:11: a has no blocks; write for instance {A: 1 3 2 3, B: 1 4 2 4}",
        ),
        (HEAD + "keys: {a: {joint: shared}}\n" + GROUPS, "f.yaml:2:11: a has no blocks; write for instance"),
        (HEAD + "keys: {a: {A: 1 7}}\n" + GROUPS, "f.yaml:2:17: there is no shaft 7; this loom has shafts 1 to 4"),
        (HEAD + "keys: {a: {A: ''}}\n" + GROUPS, "f.yaml:2:15: A has no ends; write them, for instance 1 2 3 4"),
        (
            HEAD + "keys: {a: {A: 1, joint: yes}}\n" + GROUPS,
            "f.yaml:2:25: joint is 'yes'; write shared or apart",
        ),
        (
            HEAD + "keys: {a: {1: 1 2}}\n" + GROUPS,
            "f.yaml:2:12: '1' cannot be the name of a block; use letters, digits and _, a letter first",
        ),
        # edges
        (
            HEAD + GROUPS + "selvedge: {right: {}, floating: 1}",
            "f.yaml:3:33: floating cannot stand beside right / left; write it in one of them",
        ),
        (
            HEAD + GROUPS + "selvedge: {ends: 2}",
            "f.yaml:3:18: ends means nothing without sley; add it, for instance sley: [4]",
        ),
        (
            HEAD + GROUPS + "selvedge: {sley: [4]}",
            "f.yaml:3:18: sley means nothing without ends; add it, for instance ends: 4",
        ),
        (
            HEAD + GROUPS + "selvedge: {floating: -1}",
            "f.yaml:3:22: floating is '-1'; write a whole number from 0 to 99",
        ),
        (
            HEAD + GROUPS + "selvedge: {doubled: 3}",
            "f.yaml:3:11: this doubles more heddles than the warp has; write fewer",
        ),
        (
            HEAD + GROUPS + "selvedge: {left: {sley: [2], ends: 3}}",
            "f.yaml:3:18: this sleys more ends than the warp has; write fewer",
        ),
        (
            HEAD + GROUPS + "selvedge: {sley: [2], ends: 2}",
            "f.yaml:3:11: this sleys more ends than the warp has; write fewer",
        ),
        (
            HEAD + "groups: [{thread: 100000(1)}]\nselvedge: {floating: 1}",
            "f.yaml:3:11: with this the warp has more than 100,000 ends; look for a number too large",
        ),
        (HEAD + GROUPS + "call_from: middle", "f.yaml:3:12: call_from is 'middle'; write right, left or centre"),
        # beams, and brackets in orders
        (
            HEAD + GROUPS + "beams: {a b: {}}",
            "f.yaml:3:9: 'a b' cannot be the key of a beam; "
            "use letters, digits, - and _, a letter first; its full name goes under name:",
        ),
        (
            HEAD + GROUPS + "beams: {pile: {length: 3 ells}}",
            "f.yaml:3:24: length is '3 ells'; write a length, for instance 3 m, 3.5 yd or 120 in",
        ),
        (
            HEAD + GROUPS + "beams: {pile: {take_up: 100}}",
            "f.yaml:3:25: take_up is '100'; write per cent as a number below 100, for instance 5",
        ),
        (
            HEAD + "groups: [{thread: 1, beam: pile}]",
            "f.yaml:2:28: there is no beam called 'pile'; add it under beams, for instance pile: {name: pile}",
        ),
        (
            HEAD + BEAMS + "groups:\n- {thread: 1, beam: '2 pile 1 ground'}",
            "f.yaml:4:29: a comma is missing before '1'; write for instance 2 ground, 1 pile",
        ),
        (
            HEAD + BEAMS + "groups:\n- {thread: 1, beam: 'pile,'}",
            "f.yaml:4:26: a beam is missing beside this comma; write the beam, or take the comma out",
        ),
        (HEAD + BEAMS + "groups:\n- {thread: 1, beam: 2}", "f.yaml:4:21: a beam is missing after this number; write"),
        (
            HEAD + BEAMS + "groups:\n- {thread: 1, beam: 0 pile}",
            "f.yaml:4:21: 0 ends on a beam; write how many, or take the beam out",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2(flax, 1 rust",
            "f.yaml:5:9: this bracket is never closed; put a ) where the repeat ends",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2(flax,), rust",
            "f.yaml:5:15: a yarn is missing beside this comma; write the yarn, or take the comma out",
        ),
        (HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2(), flax", "f.yaml:5:9: nothing stands in these brackets"),
        (HEAD + YARNS + "groups:\n- thread: 1\n  yarn: flax, 2 (rust)", "f.yaml:5:17: this bracket has no count; put"),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: 2(flax) rust",
            "f.yaml:5:17: a comma is missing before 'rust'; write for instance 2 flax, 1 rust",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: flax)",
            "f.yaml:5:13: this ) has no bracket to close; take it out",
        ),
        (
            HEAD + YARNS + "groups:\n- thread: 1\n  yarn: mirror(flax, 2(3 rust, 4))",
            "f.yaml:5:32: a yarn is missing after this number; write for instance 2 flax, 1 rust",
        ),
        # YAML
        (HEAD + "groups:\n\t- thread: 1", "f.yaml:3:1: a tab stands here; indent with spaces"),
        (HEAD + "title: a\x07b", "f.yaml:2:9: a control character (U+0007) stands here; take it out"),
        (
            HEAD + "title: a: b",
            "f.yaml:2:9: a colon where none can stand; "
            "put text with a colon in quotes, and begin the keys of one level in the same column",
        ),
        (
            "shafts:4\n" + GROUPS,
            "f.yaml:1:1: a space is missing after shafts:; write key: value, with a space after the colon",
        ),
        (
            HEAD + GROUPS + "sett:20\n",
            "f.yaml:3:1: a key without its colon; write key: value, with a space after the colon",
        ),
        (
            HEAD + GROUPS + "heddles: {1:200}\n",
            "f.yaml:3:11: a space is missing in '1:200'; write key: value, with a space after the colon",
        ),
        (
            HEAD + "groups:\n  - name: a\n   thread: 1",
            "f.yaml:4:4: this does not line up with the lines above; begin the lines of one level in the same column",
        ),
        (
            HEAD + "title: 'a\n" + GROUPS,
            "f.yaml:2:8: a quote is opened and never closed; close it at the end of the text",
        ),
        (HEAD + 'title: "\\q"', "f.yaml:2:10: \\q means nothing inside double quotes; use single quotes"),
        (HEAD + "title: @home", "f.yaml:2:8: text cannot begin with @; put the text in quotes"),
        (
            HEAD + "title: *star",
            "f.yaml:2:8: text that begins with * or & means something else in YAML; put it in quotes",
        ),
        (HEAD + "title: !new", "f.yaml:2:8: text that begins with ! means something else in YAML; put it in quotes"),
        (
            HEAD + "groups: [{thread: 1 2}",
            "f.yaml:2:23: this does not fit inside [ ]; put commas between, and close with ]",
        ),
        (
            HEAD + "groups: [{thread: 1 2]",
            "f.yaml:2:22: this does not fit inside { }; put commas between, close with }, quote texts with : in them",
        ),
        (
            HEAD + GROUPS + "---\n",
            "f.yaml:3:1: a second document begins here; take the --- out: one file holds one warp",
        ),
        (HEAD + "groups: " + "[" * 100_000, "f.yaml:2:28: nested more than 20 deep; take some of the brackets out"),
        (HEAD + "groups:\n  " + "- " * 100_000, "f.yaml:3:41: nested more than 20 deep; take some of the brackets out"),
        ('title: "\\UFFFFFFFF"', "f.yaml:1:11: this number is too large for YAML; write fewer digits"),
        ("%YAML 1." + "1" * 5000, "f.yaml:1:9: this number is too large for YAML; write fewer digits"),
        # what catches weavers in particular
        (
            HEAD + "groups:\n  - {thread: 1, 2, 3}",
            "f.yaml:3:17: inside { } the comma before '2' ends the value; "
            'put the whole of thread in quotes, as in thread: "…, …"',
        ),
        (
            HEAD + YARNS + "groups:\n  - {thread: 1, yarn: 2 flax, 1 rust}",
            "f.yaml:4:31: inside { } the comma before '1 rust' ends the value; "
            'put the whole of yarn in quotes, as in yarn: "…, …"',
        ),
        (
            HEAD + GROUPS + "yarns:\n  flax:\n    colour: #c9b48a\n",
            """f.yaml:5:13: without quotes #c9b48a is taken for a comment; write "#c9b48a\"""",
        ),
        (
            HEAD + GROUPS + "yarns:\n  flax: {colour: #c9b48a, metres_per_kg: 8400}\n",
            """f.yaml:4:18: without quotes #c9b48a is taken for a comment; write "#c9b48a\"""",
        ),
        (
            HEAD + "yarns:\n  flax: {colour: #c9b48a}\n  rust: {}\n" + GROUPS,
            """f.yaml:3:18: without quotes #c9b48a is taken for a comment; write "#c9b48a\"""",
        ),
    ],
)
def test_every_mistake_is_named_and_placed(text: str, expected: str) -> None:
    assert complaint(text.encode()).startswith(expected)


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"shafts: 4\n# caf\xe9\n", "f.yaml:2:6: a byte that is not UTF-8 (0xe9); save the file as UTF-8"),
        (b"\xff\xfes\x00h", "f.yaml:1:2: a byte that is not UTF-16-LE (0x68); save the file as UTF-8"),
        (b"\xff\xfe\x00\x00", "f.yaml:1:1: a control character (U+0000) stands here; take it out"),
    ],
)
def test_files_that_are_not_text(data: bytes, expected: str) -> None:
    assert complaint(data) == expected


@pytest.mark.parametrize(
    "text",
    [
        HEAD + "groups:\n- thread: " + "999999(" * 9 + "1" + ")" * 9,
        HEAD + "groups: [{thread: 1000(1..4), times: 999999}]",
        HEAD + "groups:\n" + "- thread: 999999(1)\n" * 2,
        HEAD + "blocks:\n" + "".join(f"  b{n}: 999999(1)\n" for n in range(9)) + GROUPS,
    ],
)
def test_no_file_grows_beyond_the_most_ends(text: str) -> None:
    assert "more than 100,000 ends" in complaint(text.encode())


def test_no_file_holds_more_values_than_a_warp_needs() -> None:
    assert "more than 25,000 values" in complaint(("sley: [" + "1," * 25_000 + "]").encode())


def test_a_long_file_is_not_read_at_all() -> None:
    with pytest.raises(SequenceError, match=r"^f\.yaml: longer than 500 kB"):
        loads(b" " * 500_001, "f.yaml")


# One sign that no notation knows, somewhere in a threading that is written in every way YAML has.
shown_pieces = st.lists(st.sampled_from(["1", "2 3", "1..4", "3(1 2)", "4-3", "1,2", "2/4"]), max_size=30)


@given(
    shown_pieces,
    shown_pieces,
    st.sampled_from(["", "'", '"', "|", ">"]),
    st.integers(5, 60),
    st.sampled_from([" ", "\n", "  ", "\t"]),
)
def test_the_column_is_that_of_the_very_sign(
    before: list[str], after: list[str], style: str, width: int, space: str
) -> None:
    thread = space.join([*before, "§", *after])
    text = yaml.dump(
        {"shafts": "4", "groups": [{"thread": thread}]}, default_style=style, width=width, allow_unicode=True
    )
    place = text.index("§")
    with pytest.raises(SequenceError, match="'§' cannot be read") as caught:
        loads(text.encode(), "f.yaml")
    assert caught.value.line == text.count("\n", 0, place) + 1
    assert caught.value.column == place - text.rfind("\n", 0, place)


@pytest.mark.parametrize(
    ("written", "line", "column"),
    [
        ("'1 2'' 3'", 3, 15),
        ('"1 \\x32\\t\\u0033 9"', 3, 27),
        ('"1 2 \\\n     3 9"', 4, 8),
        ("|2-  # in lines\n\n      1 2\n      3 9\n", 6, 9),
        ("1 2\n\n    9 3", 5, 5),
    ],
)
def test_it_is_so_with_escapes_and_indents_too(written: str, line: int, column: int) -> None:
    with pytest.raises(SequenceError) as caught:
        loads(f"{HEAD}groups:\n- thread: {written}".encode(), "f.yaml")
    assert (caught.value.line, caught.value.column) == (line, column)


def reads_or_complains(data: bytes) -> None:
    """A warp, or a SequenceError with one line that can be printed; anything else fails the test."""
    try:
        said = f"{loads(data, 'f.yaml').ends} ends"
    except SequenceError as error:
        said = str(error)
    assert len(said.splitlines()) == 1
    assert said.encode()


@given(st.binary(max_size=300))
@example(b"\xfe\xff\xd8\x00")
@example(b'shafts: 4\ngroups: [{thread: 1, name: "\\ud800"}]')
def test_any_bytes_give_a_warp_or_a_complaint(data: bytes) -> None:
    reads_or_complains(data)


@given(st.text(alphabet="shafts: 14\n-[]{},'\"#&*!|>%@`?\\\t~x", max_size=60))
def test_so_does_any_text_full_of_signs(text: str) -> None:
    reads_or_complains(text.encode())


@pytest.fixture(scope="module")
def real_files() -> list[str]:
    return [path.read_text(encoding="utf-8") for path in examples().values()]


SCRAPS = [
    "\n",
    "  ",
    "\t",
    ": ",
    ",",
    "-",
    "{",
    "}",
    "[",
    "]",
    '"',
    "'",
    "#",
    "&a ",
    "*a",
    "!",
    "0",
    "99",
    "(",
    ")",
    "..",
    "/",
    "é",
    "\x00",
]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.integers(0), st.integers(1, 4))
def test_so_does_any_real_file_with_slips_of_the_pen(real_files: list[str], seed: int, slips: int) -> None:
    chance = random.Random(seed)
    text = chance.choice(real_files)
    for _ in range(slips):
        at = chance.randrange(len(text))
        length = chance.choice([0, 0, 1, 1, 5, 40])
        scrap = chance.choice([*SCRAPS, "", text[(cut := chance.randrange(len(text))) : cut + 30]])
        text = text[:at] + scrap + text[at + length :]
    reads_or_complains(text.encode())


def test_a_complaint_names_the_file_it_is_about(tmp_path: Path) -> None:
    with pytest.raises(SequenceError) as caught:
        loads(b"shafts: 0", "shed/runner.yaml")
    assert caught.value.file == "shed/runner.yaml"
    assert str(caught.value).startswith("shed/runner.yaml:1:")

"""Makes journal-N.sqlite3, a journal as an earlier version wrote it, and journal-N.json: where that version stood.

It runs with the code of the last commit of each format version, never with the present one:

    for commit in ed5650e af93bb2 a402fa0 c8da601 e344211 e6172aa 0fd3a7d 182a898 c533eb3 013d20f; do
        git worktree add /tmp/$commit $commit
        PYTHONPATH=/tmp/$commit python tests/session/journals/make.py tests/session/journals
    done

The JSON has, for each record, its file, its job, where it stood after every event ("mode, group, counted, state") and,
after the last one, more about the place. Random sessions are drawn from a seed, so that the same commit makes the same.
"""

import json
import random
import sqlite3
import sys
from pathlib import Path
from typing import Any

from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.machine import Session
from assistant.warp.sequence import loads

try:
    from assistant.session.database import VERSION
except ImportError:  # where it stood before version 6
    from assistant.session.journal import VERSION  # type: ignore[attr-defined, no-redef]

BEGAN = 1_764_000_000.0
STEP, NIGHT = 21.0, 50_000.0  # seconds from one event to the next, and from leaving to sitting down
RUNNER = (
    "{title: Runner, shafts: 4, groups: [{name: edge, thread: 1 2 1 2 1 2}, {name: rose, thread: 2(1 2 3 4 3 2)%s}]}"
)
WARP, EDITED = RUNNER % ", times: 2", RUNNER % ", times: 3"
REED = (
    "{title: Reed, shafts: 4, sett: 15, reed: 10, sley: [1, 2], "
    "groups: [{name: edge, thread: 8(1 2)}, {name: body, thread: 3(1..4)}]}"
)

NAMED = {"done": "finished"} if VERSION >= 5 else {}  # kinds that were called otherwise until then

Told = tuple[str, object, str]  # the kind of an event, its number, row or text, and its source


def told(words: str, source: str = "key") -> list[Told]:
    """ "next, over 2, read 3/4" -> events; a number after the kind, or a row with a stroke after each shaft."""
    events: list[Told] = []
    for word in words.split(", "):
        kind, _, last = word.rpartition(" ")
        if "/" in last:
            events.append((kind, tuple(int(shaft) for shaft in last.split("/") if shaft), source))
        elif last.isdigit():
            events.append((kind, int(last), source))
        else:
            events.append((word, None, source))
    return [(NAMED.get(kind, kind), said, by) for kind, said, by in events]


def records() -> dict[str, tuple[str, str, list[Told]]]:
    """The file, its content and job, and what happened."""
    closed = "sit down 4, next, next, next, "
    made = {
        "under way.yaml": (
            WARP,
            "thread",
            [*told(closed + "next, next"), *told("back, pause, resume, repeat", "voice")],
        ),
        "off by two.yaml": (WARP, "thread", told(closed + "next, over 2, next, next, leave, sit down, next")),
        "settled.yaml": (
            WARP,
            "thread",
            told("sit down, next, next, short 1, settle, next, next, next, next, next, next, next, next"),
        ),
        "run out.yaml": (
            WARP,
            "thread",
            told("sit down 3, next, done, number 2, next, next, pause, leave, sit down, where"),
        ),
        "asked by voice.yaml": (
            WARP,
            "thread",
            told("sit down 4, next, next, uneven, over, number 1, redo, next", "voice"),
        ),
        "settled by voice.yaml": (
            WARP,
            "thread",
            told("sit down 4, next, next, uneven, short, number 1, settle", "voice"),
        ),
        "finished.yaml": (WARP, "thread", told("sit down 12" + ", next" * 6 + ", leave")),
    }
    if VERSION >= 2:
        made |= {
            "searched.yaml": (WARP, "thread", told("sit down 4, next, next, over 1, find, number 1, number 2")),
            "given up.yaml": (
                WARP,
                "thread",
                told("sit down 4, next, next, short 2, find, unsure, unsure, unsure, unsure, back"),
            ),
            "wound.yaml": (REED, "wind", told("sit down 2, next, next, next, leave, sit down, next, done, next")),
            "sleyed.yaml": (REED, "sley", told("sit down, next, next, back, next, louder, next")),
            "counted out.yaml": (REED, "heddles", told("sit down, next, next, next, short 2, settle")),
            "tied.yaml": (REED, "tie", told("sit down 6, next, next, over 1, redo, next, next, next, next")),
            "checked.yaml": (
                REED,
                "check",
                [*told("sit down, next, next, next", "clock"), *told("done, number 1, next")],
            ),
            "read aloud.yaml": (
                REED,
                "read",
                told("sit down, read 1/2/1/2, read 1/, read 2/1/2, read 3/3, read 3/3", "voice"),
            ),
        }
    if VERSION >= 3:
        made |= {
            "twice by voice.yaml": (WARP, "thread", told("sit down 4, next, next, over 1, redo, redo, next", "voice")),
            "still asked.yaml": (WARP, "thread", told("sit down 4, next, next, over 1, settle", "voice")),
            "not meant.yaml": (
                WARP,
                "thread",
                told("sit down 4, next, next, over 1, redo, back, settle, unsure", "voice"),
            ),
        }
    if VERSION >= 4:
        made["noted.yaml"] = (
            WARP,
            "thread",
            [*told("sit down 4, next, note, next"), ("note", "a knot here", "written")],
        )
    if VERSION >= 5:
        made["alike.yaml"] = (
            WARP,
            "thread",
            [("sit down", "1-9 5-9", "clock"), *told("next 4, next, over, number 1, leave", "voice")],
        )
    if VERSION >= 7:
        edge = "/".join(["1/2"] * 8)
        made["read to the end.yaml"] = (
            REED,
            "read",
            told(f"sit down, read {edge}, find, uneven, next, read {'/'.join(['1/2/3/4'] * 3)}, finished", "voice"),
        )
    for seed in range(6):
        job = "thread" if VERSION == 1 or seed < 4 else ("sley", "read")[seed - 4]
        made[f"random {seed}.yaml"] = (WARP if job == "thread" else REED, job, drawn(random.Random(seed), job))
    return made


def drawn(chance: random.Random, job: str) -> list[Told]:
    """Sixty events, most of them steps on."""
    events: list[Told] = told("sit down 3")
    others = [kind for kind in Kind if kind.value not in ("next", "sit down", "leave")]
    while len(events) < 60:
        kind = chance.choice(others).value if chance.random() < 0.4 else "next"
        number: object = chance.choice((None, 1, 2)) if kind in ("short", "over") else None
        if kind == "number" or (kind == "next" and chance.random() < 0.2):
            kind, number = "number", chance.randrange(4)
        if kind == "read":
            number = tuple(chance.randint(1, 4) for _ in range(chance.randint(1, 4)))
        events.append((kind, number, chance.choice(("voice", "key", "pedal"))))
        if chance.random() < 0.03:
            events += [("leave", None, "key"), ("sit down", None, "clock")]
    return events


def keep(journal: Any, record: Any, events: list[Told]) -> None:
    append, at = journal.keep(record), BEGAN
    for kind, said, source in events:
        append(Event(Kind(kind), at, source=source, **more(kind, said)))
        at += NIGHT if kind == "leave" else STEP


def more(kind: str, said: object) -> dict[str, Any]:
    """What an event of this kind holds besides."""
    if isinstance(said, tuple):
        return {"row": said}
    if isinstance(said, str) and kind == "sit down":
        return {"alike": tuple(tuple(map(int, pair.split("-"))) for pair in said.split())}
    return {"text": said} if isinstance(said, str) else {"number": said}


def begin(journal: Any, file: str, sequence: str, job: str) -> Any:
    warp = loads(sequence.encode(), file)
    return journal.begin(Path("/loom", file), *((job,) if VERSION >= 2 else ()), warp, BEGAN)


def brief(session: Any) -> str:
    here = session.group
    mode = "finished" if session.mode == "complete" else session.mode
    return f"{mode}, {here.name}, {here.counted}, {here.state}"


def begun(record: Any) -> Any:
    """A session over a record, before its first event."""
    if VERSION >= 5:
        from assistant.warp.passes import PASSES

        return Session(record.warp if VERSION < 10 else record.warp_begun, PASSES[record.job])
    from assistant.languages import load  # type: ignore[import-not-found]

    if VERSION == 1:
        return Session(record.warp, load("en"))
    from assistant.warp.passes import PASSES

    return Session(record.warp, load("en"), PASSES[record.job])


def stood(journal: Any, record: Any) -> dict[str, object]:
    """Where this version's code stands after each of the record's events, and what it shows after the last."""
    session, trail = begun(record), []
    for event in journal.events(record):
        session.handle(event)
        trail.append(brief(session))
    view = session.view()
    first, calling = (view.first_end, len(view.call)) if VERSION == 1 else (view.first, view.calling)
    return {
        "file": record.file,
        "job": getattr(record, "job", "thread"),
        "trail": trail,
        "groups": [line.as_json() for line in session.summary()],
        "group_number": view.group_number,
        "first": first,
        "calling": calling,
        "figures": [] if VERSION == 1 else [str(figure.text) for figure in view.figures],
        "largest": session.largest_number,
        "done": sum(line.counted for line in session.summary()),
        "sittings": session._place.sittings,
    }


def revised(journal: Any, record: Any) -> Any:
    now = loads(EDITED.encode(), "edited.yaml")
    if VERSION < 10:
        return journal.revise(record, now)
    from assistant.session.editing import compared
    from assistant.session.resume import replayed

    return journal.revise(record, compared(replayed(journal, record).place, now), BEGAN + NIGHT)


def main(folder: Path) -> None:
    path = folder / f"journal-{VERSION}.sqlite3"
    path.unlink(missing_ok=True)
    with Journal(path) as journal:
        for file, (sequence, job, events) in records().items():
            keep(journal, begin(journal, file, sequence, job), events)
        edited = begin(journal, "edited.yaml", WARP, "thread")
        keep(journal, edited, told("sit down, next, next, next, next, leave"))
        edited = revised(journal, edited)
        journal.keep(edited)(Event(Kind.SIT_DOWN, BEGAN + NIGHT, None, "clock"))
        places = [stood(journal, record) for record in reversed(journal.records())]
    db = sqlite3.connect(path)
    db.execute("PRAGMA journal_mode = DELETE")
    db.execute("VACUUM")
    db.close()
    path.with_suffix(".json").write_text(json.dumps(places, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

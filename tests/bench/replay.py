"""Resuming a long warp: 20,000 events read and replayed, beside reading the same events from a plain text file.

python tests/bench/replay.py
"""

import json
import tempfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from parts.clock import seconds
from parts.options import asking

from assistant.session.database import transaction
from assistant.session.events import Event, Kind
from assistant.session.journal import Journal
from assistant.session.resume import replayed
from assistant.session.rows import COLUMNS, to_row
from assistant.warp.sequence import loads

EVENTS = 20_000
CYCLE = (Kind.NEXT, Kind.NEXT, Kind.REPEAT, Kind.NEXT, Kind.BACK, Kind.NEXT, Kind.WHERE, Kind.NEXT)
SEQUENCE = b"{shafts: 8, groups: [{name: stripe, thread: 5(1 2 3 4 5 6 7 8), times: 1000}]}"


def best(task: Callable[[], object], rounds: int = 3) -> float:
    """Seconds of the fastest of a few rounds."""
    return min(seconds(task) for _ in range(rounds))


def main() -> None:
    asking(__doc__).parse_args()
    events = [Event(Kind.SIT_DOWN, 0.0, 4)]
    events += [Event(CYCLE[n % len(CYCLE)], 10.0 * n, source="pedal") for n in range(1, EVENTS)]
    with tempfile.TemporaryDirectory() as folder:
        text = Path(folder, "events.jsonl")
        text.write_text("\n".join(json.dumps(asdict(event)) for event in events))
        with Journal(Path(folder, "journal.sqlite3")) as journal:
            record = journal.begin(Path("stripes.yaml"), "thread", loads(SEQUENCE, "stripes.yaml"), 0.0)
            rows = [(record.id, step, *to_row(event)) for step, event in enumerate(events)]
            with transaction(journal._db):
                journal._db.executemany(
                    f"INSERT INTO events (warp, step, {COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows
                )
            resumed = best(lambda: replayed(journal, record))
        rival = best(lambda: [json.loads(line) for line in text.read_text().splitlines()])
    print(f"resume, {EVENTS} events replayed   {resumed:7.3f} s   (target: under 1 s)")
    print(f"plain text file, read alone       {rival:7.3f} s")
    print(f"ratio                             {resumed / rival:7.1f}")


if __name__ == "__main__":
    main()

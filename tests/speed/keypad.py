"""What a confirmed keypad entry costs the program, and how many keys an unchanged read-back of 90 entries takes.

    python -m tests.speed.keypad [ROUNDS]

The guide reads back the first 90 entries of a demo drive that are confirmed by Enter, with its journal on
disk; the time is from a typed line to the next prompt. Goals: median under 30 ms, 100 keys or fewer.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from asleft.intake.keypad import Guide, Journal
from tests.intake import keypad_desk as desk

ENTRIES = 90


def ninety() -> Guide:
    """A guide over 90 entries that all read the same as recorded."""
    rows = [row for row in desk.rows() if row.offered is not None and not row.native.secret]
    return Guide(desk.model(), rows[:ENTRIES])


def read_back(folder: Path, typed: Callable[[Guide], str]) -> tuple[int, list[float]]:
    """Keys pressed, Enter among them, and seconds for each line."""
    guide, journal, keys, seconds = ninety(), Journal(folder / "speed.jsonl"), 0, []
    journal.begin({})
    guide.ask()
    end = ""
    while not end:
        line = typed(guide)
        keys += len(line) + 1
        start = time.perf_counter()
        reply = guide.feed(line)
        journal.add(reply.answers)
        guide.ask()
        seconds.append(time.perf_counter() - start)
        end = reply.end
    journal.remove()
    return keys, seconds


def one_by_one(guide: Guide) -> str:
    return "" if guide.row is not None else "y"


def by_menus(guide: Guide) -> str:
    if guide.row is None or guide.asked is not None:
        return "y"
    return "rest"


def main(rounds: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        runs = [read_back(Path(folder), one_by_one) for _ in range(rounds)]
        together, _ = read_back(Path(folder), by_menus)
    times = [second for _, seconds in runs for second in seconds]
    median, worst = statistics.median(times) * 1000, max(times) * 1000
    print(f"a confirmed entry: median {median:.1f} ms, longest {worst:.1f} ms ({len(times)} entries)")
    print(f"keys for {ENTRIES} unchanged entries: {runs[0][0]} one by one, {together} menu by menu")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)

"""How long a cold ``asleft diff a.toml b.toml`` takes against ``python -c pass``, run in turn.

    python -m tests.speed.cold_diff [ROUNDS]

Prints the median of the ratios. The goal is 9; absolute times depend on the machine.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SETS = {
    "a.toml": 'format = 1\n[ramps]\naccel_time_1_s = 8.0\n[protection]\nexternal_fault_reaction = "fault_coast"\n',
    "b.toml": 'format = 1\n[ramps]\naccel_time_1_s = 6.5\n[protection]\nexternal_fault_reaction = "warning"\n',
}

ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""Without compiled files each run would compile the program anew, which no installed program does."""


def seconds(command: list[str], folder: str) -> float:
    """Wall time of one whole process."""
    start = time.perf_counter()
    subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, check=False, env=ENVIRONMENT)
    return time.perf_counter() - start


def main(rounds: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in SETS.items():
            Path(folder, name).write_text(text, encoding="utf-8", newline="\n")
        yardstick = [sys.executable, "-c", "pass"]
        diff = [sys.executable, "-m", "asleft", "diff", "a.toml", "b.toml"]
        seconds(diff, folder)
        pairs = [(seconds(yardstick, folder), seconds(diff, folder)) for _ in range(rounds)]
    ratio = statistics.median(cold / bare for bare, cold in pairs)
    bare, cold = (statistics.median(column) * 1000 for column in zip(*pairs, strict=True))
    print(f"cold diff: {ratio:.1f} x python -c pass ({cold:.0f} ms and {bare:.0f} ms, {rounds} pairs)")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 21)

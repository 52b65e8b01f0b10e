"""Takes snapshots in a row, as a person's script would: ``SITE TAG COUNT LABEL``.

Run as a process of its own by the fault tests. Each command line prints its exit code.
"""

from __future__ import annotations

import sys
from pathlib import Path

from asleft.cli.session import Session
from asleft.cli.start import main


def run(site: Path, tag: str, count: int, label: str) -> int:
    """Take the snapshots; how many failed."""
    failed = 0
    for number in range(count):
        source = site.parent / f"{label}-{number}.csv"
        source.write_text(f"id,value\n3610sub1,{number + 1}.5\n", encoding="utf-8")
        arguments = (
            *("snapshot", tag, "--from", str(source), "--reading", "as-found", "--occasion", "service"),
            *("--by", "T. Example", "--reason", f"{label} {number}"),
        )
        code = main(arguments, Session(folder=site, out=sys.stderr))
        print(code, flush=True)  # noqa: T201
        failed += code != 0
    return failed


if __name__ == "__main__":
    sys.exit(run(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), sys.argv[4]))

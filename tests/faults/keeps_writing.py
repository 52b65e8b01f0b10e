"""Run by the fault tests with SITE NAME COUNT: writes readings, and says each commit once it is durable."""

from __future__ import annotations

import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from asleft.store import Git, Store, find

AT = datetime(2026, 3, 12, 14, 5, tzinfo=UTC)


def main(site: str, name: str, count: str) -> None:
    store = Store(find(Path(site), Git(dict(os.environ))).place, wait=120)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    for number in range(int(count)):
        value = f"{name} {number}\n".encode()
        made = store.write(
            {f"assets/{name}/as_left.toml": value, "assets/last.toml": value},
            f"{name} {number}",
            [("Asset", name)],
            author_name="R. Example",
            author_email="",
            author_at=AT,
            committed_at=AT,
        )
        sys.stdout.write(f"{made} {number}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(*sys.argv[1:])

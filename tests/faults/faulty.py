"""Steps that fail, writers that can be killed, and the question whether a record came through."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial, partialmethod
from pathlib import Path
from typing import Any

from asleft.store import Git, Steps, Store, create, find

AT = datetime(2026, 3, 12, 14, 5, tzinfo=UTC)
LEFT, FOUND, NEW = "assets/E1/as_left.toml", "assets/E1/as_found.toml", "assets/E2/as_left.toml"
WHO = {"author_name": "R. Example", "author_email": "r@site.example", "author_at": AT, "committed_at": AT}
KINDS = ("call", "store", "claim", "replace", "copy", "remove", "remove_folder", "make_folder", "flush")


def environment(folder: Path) -> dict[str, str]:
    """The machine's environment with an empty git configuration."""
    config = folder / "gitconfig"
    config.touch()
    kept = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    return {**kept, "GIT_CONFIG_GLOBAL": str(config), "GIT_CONFIG_NOSYSTEM": "1"}


def started(folder: Path, env: dict[str, str]) -> Store:
    """A site whose record holds two readings of one asset."""
    store = create(folder, {"site.toml": b"n = 1\n"}, Git(env), author_name="R", author_email="", at=AT)
    store.write({LEFT: b"v = 1\n", FOUND: b"v = 1\n"}, "Old", [("Asset", "E1")], **WHO)  # type: ignore[arg-type]
    return store


def is_whole(store: Store) -> bool:
    """As git itself judges, apart from the store's own checks."""
    asked = ["git", "fsck", "--full", "--strict", "--no-dangling", "--no-progress"]
    done = subprocess.run(
        asked, cwd=store.top, capture_output=True, env=dict(store.place.git.env), check=False
    )
    return done.returncode == 0 and b"error" not in done.stderr


def is_clean(store: Store) -> bool:
    """True where git sees no difference between record, index and files, and nothing left over."""
    asked = ["git", "status", "--porcelain"]
    done = subprocess.run(
        asked, cwd=store.top, capture_output=True, env=dict(store.place.git.env), check=True
    )
    return done.stdout == b""


class PowerCut(BaseException):
    """Everything stops here; no handler for errors sees it."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step about to be taken: how many came since the first failing one, and the way to take it."""

    after: int
    kind: str
    take: Callable[[], Any]
    args: tuple[Any, ...]

    def take_half(self) -> None:
        """What a stop in the middle leaves: of a file, half of its bytes."""
        if self.kind == "store":
            path, data = self.args
            path.write_bytes(data[: len(data) // 2])


class Failing(Steps):
    """Counts its steps; from the n-th on, `fail` decides what becomes of each."""

    def __init__(self, nth: int, fail: Callable[[Step], Any]) -> None:
        self.count, self.nth, self.fail = 0, nth, fail

    def _step(self, kind: str, *args: Any, **more: Any) -> Any:
        self.count += 1
        take = partial(getattr(Steps, kind), self, *args, **more)
        return take() if self.count < self.nth else self.fail(Step(self.count - self.nth, kind, take, args))


for _kind in KINDS:
    setattr(Failing, _kind, partialmethod(Failing._step, _kind))


def writer(site: Path, env: dict[str, str], script: str, *args: str) -> subprocess.Popen[bytes]:
    """A process of its own group that runs one of the writers in this folder."""
    return subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name(script)), str(site), *args],
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )


def reopened(site: Path, env: dict[str, str]) -> Store:
    """The site as the next command finds it."""
    return find(site, Git(env))

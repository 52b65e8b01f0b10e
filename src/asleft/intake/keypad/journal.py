"""Answers on disk before the reading is recorded: one line each, flushed before the next entry is asked."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from asleft.intake.keypad.answers import Answer, as_answer

FORMAT = 1


class InUse(Exception):
    """Somebody else is at the same keypad reading."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What a journal holds: its head as begun, and every answer in the order given."""

    head: Mapping[str, str]
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Journal:
    """A journal at ``path``. A line torn by a crash is passed over; the answers before it stand.

    Errors: OSError where the disk refuses.
    """

    path: Path

    def read(self) -> Kept | None:
        """What was kept, or None where nothing waits."""
        try:
            lines = self.path.read_bytes().split(b"\n")
        except FileNotFoundError:
            return None
        whole = [content for line in lines if (content := _parsed(line)) is not None]
        heads = [content for content in whole if content.get("format") == FORMAT]
        answers = tuple(answer for content in whole if (answer := as_answer(content)) is not None)
        head = {name: str(text) for name, text in (heads[0] if heads else {}).items()}
        return Kept(head, answers)

    def begin(self, head: Mapping[str, str]) -> None:
        """Start afresh. What waited there is kept beside it, as ``.before``."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if self.path.exists():
            self.path.replace(self.path.with_suffix(".before"))
        self._append([{"format": FORMAT, **head}])

    def add(self, answers: tuple[Answer, ...]) -> None:
        """Keep answers: on disk when this returns."""
        if answers:
            self._append([answer.kept() for answer in answers])

    def remove(self) -> None:
        """Away with it: its reading is recorded."""
        self.path.unlink(missing_ok=True)

    def _append(self, contents: list[dict[str, Any]]) -> None:
        lines = b"".join(json.dumps(content).encode("ascii") + b"\n" for content in contents)
        with self.path.open("a+b") as file:
            if file.seek(0, os.SEEK_END) and _is_torn(file):
                lines = b"\n" + lines
            file.write(lines)
            file.flush()
            os.fsync(file.fileno())

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the journal against a second person. Raises ``InUse``. A killed holder frees it."""
        from filelock import FileLock, Timeout

        self.path.parent.mkdir(parents=True, exist_ok=True)
        lock = FileLock(str(self.path.with_suffix(".lock")))
        try:
            lock.acquire(timeout=0)
        except Timeout:
            raise InUse(self.path.stem) from None
        try:
            yield
        finally:
            lock.release()


def _parsed(line: bytes) -> dict[str, Any] | None:
    try:
        content = json.loads(line)
    except ValueError:
        return None
    return content if isinstance(content, dict) else None


def _is_torn(file: Any) -> bool:
    file.seek(-1, os.SEEK_END)
    return bool(file.read(1) != b"\n")

"""Who records, as the person's own git configuration has it."""

from __future__ import annotations

from pathlib import Path

from asleft.store.runner import Git


def identity(folder: Path, git: Git) -> tuple[str, str]:
    """Name and mail address from ``user.name`` and ``user.email``; empty where they are not set."""
    return _value(folder, git, "user.name"), _value(folder, git, "user.email")


def _value(folder: Path, git: Git, key: str) -> str:
    done = git.run(folder, "config", "--get", key, ok=(0, 1))
    return done.out.decode("utf-8", "replace").strip()

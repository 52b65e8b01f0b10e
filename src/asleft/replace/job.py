"""The order of the job and its standing texts, read from ``job.toml`` beside this module."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib import resources
from typing import Any

WITHOUT_MEANING = 10
"""The stage of what has no neutral meaning."""


@dataclass(frozen=True, slots=True)
class Do:
    """Work of a stage that is no entry. ``when`` names the condition it stands under; empty: always."""

    text: str
    why: str
    when: str = ""
    first: bool = False
    stopped: bool = False
    turns: bool = False


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: its number from 1, and the patterns of neutral keys entered in it."""

    number: int
    title: str
    why: str
    keys: tuple[str, ...]
    do: tuple[Do, ...] = ()


@dataclass(frozen=True, slots=True)
class Remedy:
    """What can be done where a unit cannot hold ``wanted`` at ``key``; ``*`` stands for any value."""

    key: str
    wanted: str
    words: str


@dataclass(frozen=True, slots=True)
class Job:
    """The whole file."""

    stages: tuple[Stage, ...]
    cautions: tuple[str, ...]
    questions: tuple[str, ...]
    turning_keys: tuple[str, ...]
    run_functions: frozenset[str]
    remedies: tuple[Remedy, ...]

    def stage_of(self, keys: Iterable[str]) -> Stage:
        """The first stage one of the keys belongs to; an entry without a meaning goes with the references."""
        number = next((found for key in keys if (found := _stage_number(key))), WITHOUT_MEANING)
        return self.stages[number - 1]

    def turns(self, keys: Iterable[str]) -> bool:
        """Whether entering one of the keys can set the shaft turning."""
        return any(fnmatchcase(key, pattern) for key in keys for pattern in self.turning_keys)

    def remedy(self, key: str, wanted: object) -> str:
        """What can be done instead; empty where nothing is known."""
        return next((r.words for r in self.remedies if r.key == key and r.wanted in ("*", wanted)), "")


def _work(row: Mapping[str, Any]) -> tuple[Do, ...]:
    return tuple(Do(**do) for do in row.get("do", ()))


@cache
def _stage_number(key: str) -> int:
    """The number of the stage a key belongs to, 0 for none."""
    stages = (stage for stage in job().stages for pattern in stage.keys if fnmatchcase(key, pattern))
    return next((stage.number for stage in stages), 0)


@cache
def job() -> Job:
    """The job, parsed once a process."""
    import tomllib

    data = tomllib.loads(resources.files("asleft.replace").joinpath("job.toml").read_text(encoding="utf-8"))
    stages = tuple(
        Stage(
            row["number"],
            row["title"],
            row["why"],
            tuple(row["keys"]),
            _work(row),
        )
        for row in data["stage"]
    )
    return Job(
        stages=stages,
        cautions=tuple(data["cautions"]),
        questions=tuple(data["questions"]),
        turning_keys=tuple(data["turns"]["keys"]),
        run_functions=frozenset(data["turns"]["run_functions"]),
        remedies=tuple(Remedy(**row) for row in data["remedy"]),
    )

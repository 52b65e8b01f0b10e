"""Whether the whole record is sound."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from asleft.files.assets import read_asset
from asleft.files.replacements import read_replacement
from asleft.files.sets import read_set, write_set
from asleft.files.site import read_site
from asleft.files.tests import read_test
from asleft.jobs.record import KINDS, Record
from asleft.models import read_model
from asleft.record import Fault, Refused
from asleft.spec import read_spec, read_waivers
from asleft.store import Problem


class HasFaults(Protocol):
    """What a reader gives back."""

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong with the file."""


@dataclass(frozen=True, slots=True)
class Verified:
    """The answer to ``verify``: what was looked at, and what is wrong."""

    files: int
    assets: int
    problems: tuple[Problem, ...]


def verify(record: Record) -> Verified:
    """Check every object, every trailer, and every file of the newest record."""
    seen: list[str] = []

    def look(path: str, content: bytes) -> list[str]:
        seen.append(path)
        return faults_of(path, content) or list(_lost_references(record, path, content))

    problems = record.store.verify(look)
    return Verified(len(seen), len(record.tags()), tuple(problems))


def faults_of(path: str, content: bytes) -> list[str]:
    """What is wrong with one file of a site, by its place; empty where nothing is."""
    try:
        return _reader(path)(path, content)
    except Refused as refused:
        return [str(fault) for fault in refused.faults]


def _lost_references(record: Record, path: str, content: bytes) -> Iterator[str]:
    """What a sound file of the record refers to and the record does not hold."""
    parts = path.split("/")
    if not _is_replacement(parts):
        return
    done, tag = read_replacement(content, path), parts[1]
    try:
        held = {one.blob for one in record.all_readings(tag)}
    except Refused:
        return
    if done.reading and done.reading not in held:
        yield f"it was put right to the reading {done.reading[:10]} of {tag}, which the record does not hold"


def _is_replacement(parts: Sequence[str]) -> bool:
    return parts[0] == "assets" and len(parts) == 4 and parts[2] == "replacements"


def _reader(path: str) -> Callable[[str, bytes], list[str]]:
    parts = path.split("/")
    if path == "site.toml":
        return _site_faults
    if parts[0] == "assets" and len(parts) == 3 and parts[2] == "asset.toml":
        return lambda where, content: _tag_faults(read_asset(content, where).tag, parts[1])
    if (parts[0] == "assets" and len(parts) == 3 and parts[2][:-5] in KINDS) or parts[0] == "units":
        return _set_faults
    if parts[0] == "assets" and len(parts) == 4 and parts[2] == "tests":
        return _test_faults
    if _is_replacement(parts):
        return lambda where, content: _of_faults(read_replacement(content, where).asset, parts[1])
    return _part_faults if parts[0] in _PARTS else lambda where, content: []


_PARTS: Mapping[str, Callable[[bytes, str], HasFaults]] = {
    "models": read_model,
    "specs": read_spec,
    "waivers.toml": read_waivers,
}


def _part_faults(path: str, content: bytes) -> list[str]:
    return [str(fault) for fault in _PARTS[path.split("/")[0]](content, path).faults]


def _test_faults(path: str, content: bytes) -> list[str]:
    read_test(content, path)
    return []


def _site_faults(path: str, content: bytes) -> list[str]:
    read_site(content, path)
    return []


def _tag_faults(tag: str, folder: str) -> list[str]:
    return [] if tag == folder else [f"the slot calls itself {tag}, its folder {folder}"]


def _of_faults(tag: str, folder: str) -> list[str]:
    return [] if tag == folder else [f"it says it is of {tag}, and lies in the folder of {folder}"]


def _set_faults(path: str, content: bytes) -> list[str]:
    parameters = read_set(content, path)
    if path.startswith("assets/") and write_set(parameters) != content:
        return ["it is not in the canonical form, so it was edited by hand"]
    if path.startswith("assets/") and parameters.asset != path.split("/")[1]:
        return [f"the set says it is of {parameters.asset}"]
    return []

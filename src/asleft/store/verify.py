"""Is the record whole? What git finds, and every trailer, and what the caller checks of each file."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from asleft.store import read
from asleft.store.errors import StoreError
from asleft.store.message import trailer_faults
from asleft.store.place import Place

Check = Callable[[str, bytes], list[str]]
_WORDS = (
    (r"missing (\w+) ([0-9a-f]+)(?: \((.*)\))?", "a {0} of the record is missing: {1} {2}"),
    (r"broken link from +.*", "something in the record points at what is not there"),
    (
        r"(?:error: )?(?:[0-9a-f]+: )?hash(?:-path)? mismatch.*",
        "an object is not what was recorded: {line}",
    ),
    (r"error in (\w+) ([0-9a-f]+)(?: \(.*?\))?: (.*)", "a {0} is malformed: {1}: {2}"),
    (r"error: ([0-9a-f]+): (.*)", "object {0} cannot be used: {1}"),
)
_SILENT = re.compile(r"dangling|Checking|notice:|Verifying|warning in| +to +(blob|tree|commit)")


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong with the record: `where` (a path, a commit, "git") and `what`, in plain words."""

    where: str
    what: str


def verify(place: Place, check: Check | None) -> list[Problem]:
    """Everything wrong with the record. `check` gets each file of the newest record and says its faults."""
    found = [*_objects(place), *_overlooked(place)]
    try:
        found += [*_trailers(place), *_contents(place, check)]
    except StoreError as error:
        found.append(Problem("record", error.what))
    return found


def _objects(place: Place) -> Iterator[Problem]:
    asked = ("fsck", "--full", "--strict", "--no-dangling", "--no-progress", "--name-objects")
    # Trust the objects alone, not a table of them that stands beside.
    done = place.git.run(place.top, *asked, settings=("core.commitGraph=false",), ok=tuple(range(256)))
    lines = (done.out + b"\n" + done.err).decode("utf-8", "replace").splitlines()
    told = [Problem("git", _plain(line)) for line in lines if line.strip() and not _SILENT.match(line)]
    yield from dict.fromkeys(told)
    if done.code and not told:
        yield Problem("git", f"git's own check failed with code {done.code}")


def _plain(line: str) -> str:
    for pattern, words in _WORDS:
        found = re.fullmatch(pattern, line)
        if found:
            return words.format(*(group or "" for group in found.groups()), line=line).strip()
    return line


def _overlooked(place: Place) -> Iterator[Problem]:
    done = place.git.run(place.top, "config", "--local", "-z", "--get-regexp", r"^fsck\.", ok=(0, 1))
    for setting in filter(None, done.out.decode("utf-8", "replace").split("\0")):
        key = setting.split("\n", 1)[0]
        yield Problem("git", f"the repository's own setting {key} makes git overlook faults")


def _trailers(place: Place) -> Iterator[Problem]:
    commits = read.history(place, (), "HEAD", None)
    ids = {commit.id for commit in commits}
    for commit in commits:
        for fault in trailer_faults(commit.trailers):
            yield Problem(commit.id, fault)
        for key, value in commit.trailers:
            if key == "Corrects" and not any(known.startswith(value) for known in ids):
                yield Problem(commit.id, f"it corrects {value}, which the record does not hold")


def _contents(place: Place, check: Check | None) -> Iterator[Problem]:
    if check is None:
        return
    held = read.listing(place, "HEAD", "")
    blobs = list(dict.fromkeys(held.values()))
    data = dict(zip(blobs, read.read_blobs(place, blobs), strict=True))
    for path, blob in held.items():
        for fault in check(path, data[blob]):
            yield Problem(path, fault)

"""The demo: a site of eight drives with its history, built from data that comes with the package."""

from __future__ import annotations

import shlex
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import asleft
from asleft.files.toml import parse
from asleft.intake import take
from asleft.jobs.record import Record
from asleft.jobs.snapshot import snapshot
from asleft.jobs.who import Who
from asleft.record import Fault, Refused
from asleft.store import Git, Store, StoreError, create, find

EMAIL = "demo@example.com"
_UNFINISHED = ".unfinished-demo"
_FOLDERS = ("models", "specs", "assets", "units")
_MADE = (".gitattributes", "site.toml", "waivers.toml", *_FOLDERS)


@dataclass(frozen=True, slots=True)
class Walk:
    """One stop of the walk: what it is about, and the command line that answers."""

    says: str
    arguments: tuple[str, ...]


def data_folder() -> Path:
    """Where the demo's data lies: in the package, or beside the source in a checkout."""
    inside = Path(asleft.__file__).parent / "demo"
    return inside if inside.is_dir() else Path(asleft.__file__).parents[2] / "fixtures" / "demo"


def is_unfinished(folder: Path) -> bool:
    """Whether an interrupted demo stands in a folder, and nothing else does. It is a site once ``.git`` has
    come up from the folder it grew in."""
    held = {path.name for path in folder.iterdir()} if folder.is_dir() else set()
    return _UNFINISHED in held and held <= {_UNFINISHED, *_MADE}


def build(folder: Path, git: Git) -> Record:
    """Build the site, visit by visit, in a new or empty folder, or anew over one that was interrupted.

    It grows in a folder of its own inside, so that an interrupted one is known again. Raises ``Refused``
    for a folder that holds anything else.
    """
    if folder.exists() and any(folder.iterdir()) and not is_unfinished(folder):
        raise Refused(
            Fault(
                f"{folder} is not empty.", "Name a new folder for the demo site: asleft demo DIR", str(folder)
            )
        )
    growing, fresh = folder / _UNFINISHED, not folder.exists()
    for name in (*_MADE, _UNFINISHED):
        _remove(folder / name)
    growing.mkdir(parents=True)
    try:
        _build(growing, git)
    except (Refused, StoreError):
        _remove(folder if fresh else growing)
        raise
    for path in sorted(growing.iterdir(), key=lambda path: path.name == ".git"):
        path.rename(folder / path.name)
    growing.rmdir()
    return Record(find(folder, git))


def _remove(path: Path) -> None:
    """Take away what a demo made. Objects of git are read-only, which Windows will not remove."""
    if not path.is_dir():
        path.unlink(missing_ok=True)
        return
    for file in path.rglob("*"):
        if file.is_file() and not file.is_symlink():
            file.chmod(0o600)
    shutil.rmtree(path)


def _build(folder: Path, git: Git) -> None:
    source = data_folder()
    visits = parse((source / "visits.toml").read_bytes(), "visits.toml").data
    store = create(
        folder,
        {"site.toml": (source / "site.toml").read_bytes()},
        git,
        author_name="R. Example",
        author_email=EMAIL,
        at=visits["started"],
    )
    _record_files(store, source, visits["started"])
    record = Record(store)
    for visit in visits["visit"]:
        for reading in visit["readings"]:
            _record_reading(record, source, visit, reading)


def _record_files(store: Store, source: Path, at: datetime) -> None:
    store.write(
        dict(_site_files(source)),
        "Models, slots, specs and waivers of the site",
        [("By", "R. Example")],
        author_name="R. Example",
        author_email=EMAIL,
        author_at=at,
        committed_at=at,
    )


def _site_files(source: Path) -> Iterator[tuple[str, bytes]]:
    for folder in _FOLDERS:
        for file in sorted((source / folder).rglob("*.toml")):
            yield file.relative_to(source).as_posix(), file.read_bytes()
    yield "waivers.toml", (source / "waivers.toml").read_bytes()


def _record_reading(
    record: Record, source: Path, visit: Mapping[str, Any], reading: Mapping[str, Any]
) -> None:
    file = source / "readings" / visit["folder"] / reading["file"]
    asset = record.asset(reading["asset"])
    taken = take(file.read_bytes(), file.name, record.model(asset.model))
    who = Who(visit["by"], EMAIL, reading["at"], reading["at"], visit["reason"], visit["work_order"])
    snapshot(Record(record.store), asset.tag, taken, visit["reading"], visit["occasion"], who)


def walk() -> tuple[Walk, ...]:
    """The stops of the walk, in order."""
    visits = parse((data_folder() / "visits.toml").read_bytes(), "visits.toml").data
    return tuple(Walk(stop["says"], tuple(shlex.split(stop["command"]))) for stop in visits["walk"])

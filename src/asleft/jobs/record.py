"""The site as a job sees it: assets, models, specs and readings, found by their names."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import NamedTuple, TypeAlias, TypeVar

from asleft.files.assets import read_asset
from asleft.files.bounded import read_bounded
from asleft.files.sets import read_set
from asleft.files.site import Site, read_site
from asleft.files.value import did_you_mean
from asleft.models import Model, ModelFile, read_model
from asleft.record import READING_KINDS, Asset, Fault, ParameterSet, Reading, Refused
from asleft.store import NotInRecord, Store
from asleft.store.objects import object_name

KINDS = READING_KINDS
_Row: TypeAlias = tuple[str, str, str, int]
"""A reading as found in the history: path, blob id, commit id, place of the commit."""


@dataclass(frozen=True, slots=True)
class Recorded:
    """One reading in the record: its set, the commit that holds it, its blob id, its place among commits.

    ``corrected_by`` is the commit that put another reading in its place; empty where it stands.
    """

    set: ParameterSet
    reading: Reading
    commit: str
    blob: str
    order: int
    corrected_by: str = ""

    @property
    def at(self) -> datetime:
        """When it was read."""
        return self.reading.at

    @property
    def rank(self) -> tuple[datetime, int]:
        """Order within a series: by time read, then by commit."""
        return self.reading.at, self.order


class Unreadable(NamedTuple):
    """A recorded reading that cannot be read. ``current``: nothing sound has taken its place in its file;
    ``sound`` is the last commit before it that held a readable one there, empty where there is none."""

    path: str
    commit: str
    refused: tuple[Fault, ...]
    current: bool
    sound: str

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong with it, and how to get a sound reading back."""
        if not self.current:
            return self._told("It was put back, read anew or taken out since. Nothing is to be done.")
        back = (
            f"Take the last sound one back: git checkout {self.sound[:10]} -- {self.path}, then git commit."
            if self.sound
            else f"Take it out with git rm {self.path}, git commit, and read the drive again."
        )
        return self._told(back)

    def _told(self, do_next: str) -> tuple[Fault, ...]:
        return tuple(fault._replace(do_next=do_next) for fault in self.refused)


class Broken(NamedTuple):
    """An asset that cannot be looked at, since a file of it cannot be read or used."""

    asset: str
    faults: tuple[Fault, ...]


Read = TypeVar("Read")


def readable(tags: Iterable[str], read: Callable[[str], Read]) -> tuple[list[tuple[str, Read]], list[Broken]]:
    """What is read of each asset, by tag, and those of which it cannot be: one does not stop the rest."""
    sound, broken = [], []
    for tag in tags:
        try:
            sound.append((tag, read(tag)))
        except Refused as refused:
            broken.append(Broken(tag, refused.faults))
    return sound, broken


@dataclass
class Record:
    """A site's record. People edit slots, specs, models and waivers as files, so these are taken from the
    folder as they stand; readings are taken from the record itself."""

    store: Store
    _models: dict[str, ModelFile] = field(default_factory=dict)
    _readings: dict[str, tuple[Recorded, ...]] = field(default_factory=dict)
    _sets: dict[str, ParameterSet] = field(default_factory=dict)
    _refused: dict[str, tuple[Fault, ...]] = field(default_factory=dict)
    _unreadable: dict[str, tuple[Unreadable, ...]] = field(default_factory=dict)

    @property
    def top(self) -> Path:
        """The site's folder."""
        return self.store.top

    @cached_property
    def head(self) -> str:
        """The newest commit when this record was opened; its length tells which hash the record uses."""
        return self.store.head()

    @cached_property
    def has_merges(self) -> bool:
        """Whether work of several copies of the record was ever joined."""
        return self.store.has_merges()

    @property
    def site(self) -> Site:
        """``site.toml``."""
        return read_site(self.file("site.toml"))

    def file(self, path: str) -> bytes:
        """A file of the site as it stands in the folder. Raises ``Refused`` where it is missing."""
        return read_bounded(self.top / path, path, "Put it back, or check the name.")

    def tags(self) -> list[str]:
        """Tags of all assets, in order."""
        return sorted(
            folder.parent.name for folder in (self.top / "assets").glob("*/asset.toml") if folder.is_file()
        )

    def tag(self, text: str) -> str:
        """The tag as recorded, whatever the case typed. Raises ``Refused`` with the nearest known tags."""
        tags = self.tags()
        found = [tag for tag in tags if tag.lower() == text.lower()]
        if found:
            return found[0]
        there = f"There are {', '.join(tags)}." if len(tags) <= 20 else f"There are {len(tags)} assets."
        near = did_you_mean(text, tags)
        raise Refused(
            Fault(f"there is no asset {text!r}.", near or (there if tags else "Add it: asleft asset add"))
        )

    def asset(self, tag: str) -> Asset:
        """A slot. Raises ``Refused``."""
        path = f"assets/{self.tag(tag)}/asset.toml"
        asset = read_asset(self.file(path), path)
        if asset.tag != self.tag(tag):
            raise Refused(
                Fault(f"the folder {tag} holds the slot {asset.tag!r}.", "Make both the same.", path)
            )
        return asset

    def spec_path(self, name: str) -> str:
        """Path of one of the site's specs. Raises ``Refused`` with the nearest names."""
        known = sorted(file.stem for file in (self.top / "specs").glob("*.toml"))
        path = f"specs/{name}.toml"
        if name not in known:
            there = f"There are {', '.join(known) or 'none'}. Copy a ready one: asleft spec list"
            raise Refused(Fault(f"the site has no spec {name!r}.", did_you_mean(name, known) or there, path))
        return path

    def model_files(self) -> Iterator[str]:
        """Paths of the site's model files."""
        for path in sorted((self.top / "models").glob("*.toml")):
            yield path.relative_to(self.top).as_posix()

    def model_names(self) -> list[str]:
        """Full names of every model and size of the site."""
        return [name for path in self.model_files() for name in self._model_file(path).full_names]

    def _model_file(self, path: str) -> ModelFile:
        if path not in self._models:
            content = self.file(path)
            self._models[path] = read_model(content, path, object_name(content, "blob", len(self.head)))
        return self._models[path]

    def _model_version(self, version: str) -> ModelFile:
        """A model file as it once was, or as it stands in the folder and is not recorded yet."""
        try:
            return read_model(self.store.read_blob(version), f"models ({version[:8]})", version)
        except NotInRecord:
            for path in self.model_files():
                if self._model_file(path).version == version:
                    return self._model_file(path)
            raise

    def model(self, name: str, version: str = "") -> Model:
        """A model by its full name; of the version a set was read with, where that is given.

        Raises ``Refused`` where the site has no such model or its file has faults.
        """
        if version:
            if version not in self._models:
                self._models[version] = self._model_version(version)
            return self._size(self._models[version], name)
        for path in self.model_files():
            file = self._model_file(path)
            if name in file.full_names:
                return self._size(file, name)
        near = did_you_mean(name, self.model_names())
        raise Refused(
            Fault(
                f"the site has no drive model {name!r}.",
                near or "Put its file in models/, or see: asleft model list",
            )
        )

    def unrecorded_model(self, name: str) -> dict[str, bytes]:
        """Path and content of a model's file where the record does not hold it as it stands, else nothing."""
        for path in self.model_files():
            file = self._model_file(path)
            if name in file.full_names and self.store.blob_id(path) != file.version:
                return {path: self.file(path)}
        return {}

    def _size(self, file: ModelFile, name: str) -> Model:
        return file.size(name.removeprefix(f"{file.name}-"))

    def model_of(self, parameters: ParameterSet) -> Model | None:
        """The model a set was read with, or None where it names none."""
        if not parameters.model:
            return None
        return self.model(parameters.model, parameters.model_version)

    def readings(self, tag: str) -> tuple[Recorded, ...]:
        """The readings of an asset that stand, oldest first, all kinds; corrected ones are left out."""
        return tuple(one for one in self.all_readings(tag) if not one.corrected_by)

    def all_readings(self, tag: str) -> tuple[Recorded, ...]:
        """Every reading ever recorded of an asset, oldest first, all kinds, those corrected since too.

        Raises ``Refused`` where a current one cannot be read; older ones that cannot are left out, see
        ``unreadable``.
        """
        tag = self.tag(tag)
        self.load([tag])
        if faults := [fault for one in self._unreadable[tag] if one.current for fault in one.faults]:
            raise Refused(faults)
        return self._readings[tag]

    def forget(self, tag: str) -> None:
        """Read an asset's history anew when next asked: something was recorded of it."""
        self._readings.pop(tag, None)

    def unreadable(self, tag: str) -> tuple[Unreadable, ...]:
        """Recorded readings of an asset that cannot be read, oldest first."""
        tag = self.tag(tag)
        self.load([tag])
        return self._unreadable[tag]

    def load(self, tags: Sequence[str]) -> None:
        """Read the histories of many assets at once; one that cannot be read is kept for when it is asked."""
        self._readings |= self._load_readings([tag for tag in tags if tag not in self._readings])

    def _load_readings(self, tags: Sequence[str]) -> Mapping[str, tuple[Recorded, ...]]:
        if not tags:
            return {}
        paths = [f"assets/{tag}/{kind}.toml" for tag in tags for kind in KINDS]
        commits = list(reversed(self.store.history(paths)))
        corrected = {wrong: commit.id for commit in commits if (wrong := commit.trailer("Corrects"))}
        rows = [
            (touched.path, touched.after, commit.id, order)
            for order, commit in enumerate(commits)
            for touched in commit.touched
            if touched.after is not None
        ]
        self._read_sets(rows)
        found: dict[str, list[Recorded]] = {tag: [] for tag in tags}
        seen: set[tuple[str, str]] = set()
        for path, blob, commit, order in rows:
            if (path, blob) in seen:  # taken back as it was: no further reading
                continue
            seen.add((path, blob))
            parameters = self._sets.get(blob)
            if parameters is not None and parameters.reading is not None:
                tag = path.split("/")[1]
                mended = next((by for wrong, by in corrected.items() if commit.startswith(wrong)), "")
                found[tag].append(Recorded(parameters, parameters.reading, commit, blob, order, mended))
        newest = {touched.path: commit.id for commit in commits for touched in commit.touched}
        for tag in tags:
            mine = [row for row in rows if row[0].split("/")[1] == tag]
            self._unreadable[tag] = tuple(self._broken_rows(mine, newest))
        return {tag: tuple(sorted(recorded, key=lambda one: one.rank)) for tag, recorded in found.items()}

    def _read_sets(self, rows: Sequence[_Row]) -> None:
        wanted = [row for row in rows if row[1] not in self._sets and row[1] not in self._refused]
        contents = self.store.read_blobs([blob for _, blob, _, _ in wanted]) if wanted else []
        for (path, blob, commit, _), content in zip(wanted, contents, strict=True):
            try:
                self._sets[blob] = read_set(content, f"{path} (commit {commit[:10]})")
            except Refused as refused:
                self._refused[blob] = refused.faults

    def _broken_rows(self, rows: Sequence[_Row], newest: Mapping[str, str]) -> Iterator[Unreadable]:
        sound: dict[str, str] = {}
        for path, blob, commit, _ in rows:
            if blob in self._refused:
                current = newest[path] == commit
                yield Unreadable(path, commit, self._refused[blob], current, sound.get(path, ""))
            else:
                sound[path] = commit

    def series(self, tag: str, kind: str) -> tuple[Recorded, ...]:
        """Readings of one kind, oldest first."""
        return tuple(one for one in self.readings(tag) if one.reading.kind == kind)

"""Drive models: which there are, and what is wrong with their files."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from asleft.files.bounded import read_bounded
from asleft.jobs.record import Record
from asleft.models import Model, ModelFile, read_model
from asleft.models.check import check
from asleft.record import Fault, Refused


@dataclass(frozen=True, slots=True)
class Examined:
    """One model file: its full names, how many native parameters, and its faults."""

    path: str
    names: tuple[str, ...]
    natives: int
    faults: tuple[Fault, ...]


def models(record: Record) -> tuple[Model, ...]:
    """Every model and size of the site. Raises ``Refused`` where a file has faults."""
    return tuple(record.model(name) for name in record.model_names())


def check_site(record: Record) -> tuple[Examined, ...]:
    """Examine every model file of the site."""
    return tuple(_examine(path, record.file(path)) for path in record.model_files())


def check_files(paths: Iterable[Path]) -> tuple[Examined, ...]:
    """Examine model files by path. Raises ``Refused`` for one that cannot be read."""
    return tuple(_examine(path.name, read_bounded(path)) for path in paths)


def _examine(path: str, content: bytes) -> Examined:
    try:
        file: ModelFile = read_model(content, path)
    except Refused as refused:
        return Examined(path, (), 0, refused.faults)
    natives = len(file.document.data.get("parameters", {}))
    return Examined(path, file.full_names, natives, check(file))

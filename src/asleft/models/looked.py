"""A model file as its checks look at it: the raw rows with their lines, and every size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from asleft.files.toml import Document
from asleft.models.model import Model, Native
from asleft.models.reader import ModelFile
from asleft.models.translate import factory_set
from asleft.record import Fault, Value


@dataclass(frozen=True, slots=True)
class Looked:
    """``models`` and ``factory`` (factory and fixed values) by size, ``tolerances`` by neutral key."""

    document: Document
    models: Mapping[str, Model]
    factory: Mapping[str, Mapping[str, Value]]
    tolerances: Mapping[str, Decimal]

    @property
    def data(self) -> Mapping[str, Any]:
        """The file as parsed."""
        return self.document.data

    @property
    def model(self) -> Model:
        """The first size: all sizes have the same list."""
        return next(iter(self.models.values()))

    @property
    def natives(self) -> tuple[Native, ...]:
        """The list, with the factory values of the first size."""
        return tuple(self.model.natives.values())

    def fault(self, path: tuple[str, ...], what: str, do_next: str) -> Fault:
        """A fault with the line of a key of the file."""
        return self.document.fault(path, what, do_next)

    def of(self, native: Native, field: str, what: str, do_next: str) -> Fault:
        """A fault at one field of a parameter, named as a person finds it."""
        return self.fault(("parameters", native.id, field), f"{native.id} ({native.text}): {what}", do_next)


def looked(file: ModelFile, tolerances: Mapping[str, Decimal]) -> Looked:
    """Every size built once. The file has no faults of form."""
    models = {size: file.size(size) for size in file.sizes}
    factory = {size: {**factory_set(model).values, **model.fixed} for size, model in models.items()}
    return Looked(file.document, models, factory, tolerances)

"""Specs in the package: ready ones by machine type to start from, and the engineering rules."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from functools import cache
from importlib import resources

from asleft.spec.reader import SpecFile, read_spec
from asleft.spec.rules import Spec


@cache
def ready_names() -> tuple[str, ...]:
    """The names of the ready specs, in alphabetical order."""
    files = resources.files("asleft.spec").joinpath("ready").iterdir()
    return tuple(sorted(file.name.removesuffix(".toml") for file in files if file.name.endswith(".toml")))


def ready_bytes(name: str) -> bytes:
    """The file of a ready spec, to be copied into a site. Raises ``KeyError`` for an unknown name."""
    if name not in ready_names():
        raise KeyError(name)
    return resources.files("asleft.spec").joinpath("ready", f"{name}.toml").read_bytes()


@cache
def ready(name: str) -> SpecFile:
    """A ready spec. Raises ``KeyError`` for an unknown name."""
    return read_spec(ready_bytes(name), f"ready/{name}.toml")


@cache
def _engineering() -> Spec:
    content = resources.files("asleft.spec").joinpath("builtin", "engineering.toml").read_bytes()
    return read_spec(content, "engineering.toml").usable()


def engineering(off: Collection[str] = ()) -> Spec:
    """The rules that need no spec, without those switched off by id."""
    spec = _engineering()
    return replace(spec, rules=tuple(rule for rule in spec.rules if rule.id not in off))

"""The behaviour options a drive-model file may name, read from the table beside this module."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any


@dataclass(frozen=True, slots=True)
class BehaviourOption:
    """One option: its choices, the default of a silent model, and the neutral key that overrides it."""

    name: str
    choices: tuple[str, ...]
    default: str
    concerns: str
    meaning: str
    key: str | None = None
    as_key: Mapping[str, str] = field(default_factory=dict)


class UnknownOption(ValueError):
    """A model file names an option or a choice that does not exist."""


@cache
def behaviour_options() -> Mapping[str, BehaviourOption]:
    """All options by name, in the order of the table."""
    text = resources.files("asleft.models").joinpath("behaviour_options.toml").read_text(encoding="utf-8")
    return {name: _option(name, row) for name, row in tomllib.loads(text).items()}


def faults_of_options(options: Mapping[str, object]) -> tuple[str, ...]:
    """What is wrong with a model's ``[behaviour]`` table, a sentence each; empty when nothing is."""
    known = behaviour_options()
    faults = []
    for name, choice in options.items():
        if name not in known:
            faults.append(f"no behaviour option is called {name!r}; there are: {', '.join(known)}")
        elif choice not in known[name].choices:
            faults.append(f"{name} cannot be {choice!r}; its choices are: {', '.join(known[name].choices)}")
    return tuple(faults)


def resolve_options(options: Mapping[str, str]) -> dict[str, str]:
    """Every option with the model's choice, or the default. Raises UnknownOption."""
    faults = faults_of_options(options)
    if faults:
        raise UnknownOption("; ".join(faults))
    return {name: options.get(name, option.default) for name, option in behaviour_options().items()}


def _option(name: str, row: Mapping[str, Any]) -> BehaviourOption:
    return BehaviourOption(
        name=name,
        choices=tuple(row["choices"]),
        default=row["default"],
        concerns=row["concerns"],
        meaning=row["meaning"],
        key=row.get("key"),
        as_key=dict(row.get("as_key", {})),
    )

"""What the shell may complete: commands, options, tags with their points, and keys."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

_SETS = {
    "tag", "tags", "sets", "old", "new", "unit",
    "show name", "tables name", "predict name", "simulate-unit name", "alike names", "rollout names",
}  # fmt: skip
_KEYS = {"values", "fields", "explain name"}


def words_so_far() -> list[str]:
    """The command line the shell asks about, without the program's name and the word being typed."""
    words = (os.environ.get("COMP_WORDS") or os.environ.get("_TYPER_COMPLETE_ARGS") or "").split()
    place = os.environ.get("COMP_CWORD")
    return words[1 : int(place)] if place and place.isdecimal() else words[1:-1]


def attach(command: Any, folder: Path, path: str = "") -> None:
    """Give every argument of a command tree the words it may be completed with."""
    for name, inner in getattr(command, "commands", {}).items():
        attach(inner, folder, f"{path} {name}".strip())
    for parameter in command.params:
        names = {parameter.name, f"{path} {parameter.name}"}
        if parameter.param_type_name == "argument" and names & _SETS:
            parameter._custom_shell_complete = _completer(lambda typed: _sets(folder, typed))
        elif parameter.param_type_name == "argument" and names & _KEYS:
            parameter._custom_shell_complete = _completer(lambda typed: _keys())


def _completer(known: Callable[[str], Iterable[str]]) -> Callable[[Any, Any, str], list[str]]:
    def complete(context: Any, parameter: Any, typed: str) -> list[str]:
        return [word for word in known(typed) if word.lower().startswith(typed.lower())]

    return complete


def _sets(folder: Path, typed: str) -> list[str]:
    from asleft.jobs.naming import SERIES
    from asleft.record import OCCASIONS

    top = next((one for one in (folder, *folder.parents) if (one / "site.toml").is_file()), folder)
    tags = sorted(path.parent.name for path in (top / "assets").glob("*/asset.toml"))
    if "@" not in typed:
        return tags
    return [f"{tag}@{point}" for tag in tags for point in (*SERIES, "factory", *OCCASIONS)]


def _keys() -> list[str]:
    from asleft.vocabulary import slot_fields, vocabulary

    return [*vocabulary(), *slot_fields()]

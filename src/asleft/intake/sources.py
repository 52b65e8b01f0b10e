"""Which source a name stands for. One entry in ``FILES`` a file format."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module

from asleft.intake.secrets import withheld
from asleft.intake.taken import Taken
from asleft.models import Model
from asleft.record import Fault, Refused

FILES: Mapping[str, str] = {
    ".toml": "asleft.intake.toml_file",
    ".csv": "asleft.intake.tables",
    ".xlsx": "asleft.intake.tables",
    ".dcf": "asleft.intake.dcf",
    ".eds": "asleft.intake.eds",
}


def take(content: bytes, where: str, model: Model | None) -> Taken:
    """A reading from a file's bytes, by the suffix of its name; standard input is told by its looks.

    Raises ``Refused`` with every fault of the file.
    """
    suffix = next((known for known in FILES if where.lower().endswith(known)), "")
    if not suffix and where != "-":
        raise Refused(
            Fault(f"{where} has no suffix that tells its format.", f"Known are {', '.join(FILES)}.", where)
        )
    reader: Callable[[bytes, str, Model | None], Taken] = import_module(
        FILES[suffix or looks_like(content)]
    ).take
    return withheld(reader(content, where, model), where, model)


def looks_like(content: bytes) -> str:
    """The suffix of the format input seems to hold: TOML has an equals sign in its first row."""
    rows = [line for line in content.splitlines() if line.strip() and not line.lstrip().startswith(b"#")]
    return ".toml" if rows and (b"=" in rows[0] or rows[0].lstrip().startswith(b"[")) else ".csv"

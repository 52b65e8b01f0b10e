"""Paths of the record and of its work tree: what may be written where."""

from __future__ import annotations

import stat
import unicodedata
from pathlib import Path

from asleft.store.errors import BadText, EditedByHand
from asleft.store.objects import object_name
from asleft.store.place import Place


def checked(path: str) -> tuple[str, ...]:
    """The parts of a path within the site ("assets/E1/as_left.toml"). Errors: BadText."""
    parts = tuple(path.split("/"))
    bad = any(p in ("", ".", "..") or p.casefold() in (".git", "git~1") for p in parts)
    if bad or "\\" in path or ":" in path or any(unicodedata.category(c) in ("Cc", "Cs") for c in path):
        raise BadText(f"{path!r} is no path a site can hold.", "Use a path like assets/E1/as_left.toml.")
    return parts


def revision(at: str) -> str:
    """A point in history as git may be asked for it. Errors: BadText."""
    if not at or at.startswith("-") or ":" in at or any(c.isspace() or not c.isprintable() for c in at):
        raise BadText(f"{at!r} is no point in the record's history.", "See: asleft history")
    return at


def working_id(place: Place, path: str, like: str) -> str | None:
    """The blob id of what stands in the work tree, None where nothing stands.

    Errors: EditedByHand where a link or folder stands in the way; a link could lead out of the site.
    """
    file = place.top
    parts = checked(path)
    for depth, part in enumerate(parts, 1):
        file = file / part
        try:
            mode = file.lstat().st_mode
        except (FileNotFoundError, NotADirectoryError):
            return None
        if not (stat.S_ISREG(mode) if depth == len(parts) else stat.S_ISDIR(mode)):
            raise _in_the_way(path, file)
    return object_name(file.read_bytes(), "blob", len(like))


def _in_the_way(path: str, file: Path) -> EditedByHand:
    return EditedByHand(
        f"{file} is not the plain file or folder the record needs there.",
        "Move it out of the way and repeat; nothing was recorded.",
        (path,),
    )

"""Objects of the record, read in one call each, and trees built on what the record holds."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from asleft.store.errors import Damaged
from asleft.store.place import Place

PLAIN = "100644"
FOLDER = "40000"
Parts = tuple[str, ...]


class Entry(NamedTuple):
    """One name in a tree: mode as git writes it, object id. A tuple, for a folder may hold 10,000."""

    mode: str
    id: str


Tree = dict[str, Entry]


@dataclass(frozen=True, slots=True)
class Object:
    """An object's id, kind ("blob", "tree", "commit") and bytes."""

    id: str
    kind: str
    data: bytes


def read_objects(place: Place, names: Sequence[str]) -> list[Object | None]:
    """The objects named (an id, or "revision:path"), None where there is none. One git call."""
    if not names:
        return []
    asked = "".join(f"{name}\n" for name in names).encode("utf-8", "surrogateescape")
    out = place.git.run(place.top, "cat-file", "--batch", stdin=asked).out
    found: list[Object | None] = []
    start = 0
    while start < len(out):
        end = out.index(b"\n", start)
        head = out[start:end].split(b" ")
        start = end + 1
        if head[-1] in (b"missing", b"ambiguous"):
            found.append(None)
            continue
        size = int(head[2])
        found.append(_checked(Object(head[0].decode(), head[1].decode(), out[start : start + size])))
        start += size + 1
    if len(found) != len(names):
        raise Damaged("git stopped in the middle of reading the record.", "Run asleft verify for the list.")
    return found


def _checked(thing: Object) -> Object:
    # git gives out a loose object without holding it against its name.
    if object_name(thing.data, thing.kind, len(thing.id)) != thing.id:
        raise Damaged(f"The {thing.kind} {thing.id[:12]} is not what was recorded.", "Run asleft verify.")
    return thing


def object_name(data: bytes, kind: str, digits: int) -> str:
    """The id git gives to these bytes; 64 digits are SHA-256, 40 SHA-1."""
    new = hashlib.sha256 if digits == 64 else hashlib.sha1
    return new(f"{kind} {len(data)}\0".encode() + data, usedforsecurity=False).hexdigest()


def parse_tree(data: bytes, id_bytes: int) -> Tree:
    """The names of a tree object."""
    entries = re.findall(rb"([0-7]+) ([^\0]+)\0(.{%d})" % id_bytes, data, re.DOTALL)
    return {
        name.decode("utf-8", "surrogateescape"): Entry(mode.decode(), blob.hex())
        for mode, name, blob in entries
    }

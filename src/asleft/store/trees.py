"""The trees of a new commit, built from the newest commit along the changed paths only, never the index."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from asleft.store.errors import BadText, Damaged
from asleft.store.objects import FOLDER, PLAIN, Entry, Tree, parse_tree, read_objects
from asleft.store.place import Place

Parts = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """The folders along some paths as a commit holds them: folder parts to its names."""

    folders: Mapping[Parts, Tree]
    root: str | None

    def entry(self, parts: Parts) -> Entry | None:
        """The recorded file at a path, None where there is none. Errors: BadText where no file can stand."""
        for depth in range(1, len(parts)):
            above = self.folders[parts[: depth - 1]].get(parts[depth - 1])
            if above is not None and above.mode != FOLDER:
                raise _no_file("/".join(parts))
        entry = self.folders[parts[:-1]].get(parts[-1])
        if entry is not None and entry.mode not in (PLAIN, "100755"):
            raise _no_file("/".join(parts))
        return entry


def _no_file(path: str) -> BadText:
    return BadText(
        f"The record holds something else at {path} than a plain file, or a file where a folder is needed.",
        "Choose another path, or have the record put right in git.",
    )


def standing(place: Place, commit: str | None, paths: Iterable[Parts]) -> Standing:
    """The folders along `paths` in a commit (None: an empty record). Errors: Damaged."""
    wanted = sorted({parts[:depth] for parts in paths for depth in range(len(parts))} | {()})
    if commit is None:
        return Standing({folder: {} for folder in wanted}, None)
    names = [f"{commit}^{{tree}}" if not f else f"{commit}:{'/'.join(f)}" for f in wanted]
    folders: dict[Parts, Tree] = {}
    root = None
    for folder, found in zip(wanted, read_objects(place, names), strict=True):
        if found is None and _should_be(folders, folder):
            raise Damaged(
                f"The record's folder {'/'.join(folder) or '(top)'} cannot be read.", "Run asleft verify."
            )
        is_tree = found is not None and found.kind == "tree"
        folders[folder] = parse_tree(found.data, len(found.id) // 2) if found and is_tree else {}
        root = found.id if found and not folder else root
    return Standing(folders, root)


def _should_be(folders: Mapping[Parts, Tree], folder: Parts) -> bool:
    return not folder or folder[-1] in folders[folder[:-1]]


def build(place: Place, old: Standing, edits: Mapping[Parts, Entry | None]) -> list[str]:
    """Write the trees that `edits` make of `old`; the ids written, the top one last.

    `edits` gives each path its new entry, None to take it away. Errors: BadText.
    """
    folders = {folder: dict(tree) for folder, tree in old.folders.items()}
    for parts, entry in edits.items():
        _put(folders[parts[:-1]], parts[-1], entry)
    made: list[str] = []
    for depth in range(max(map(len, folders)), -1, -1):
        made += _make_level(place, folders, [f for f in folders if len(f) == depth])
    return made


def _make_level(place: Place, folders: dict[Parts, Tree], level: list[Parts]) -> list[str]:
    full = [f for f in level if folders[f]]
    texts = [b"".join(_line(name, e) for name, e in folders[f].items()) + b"\0" for f in full]
    # --missing: what stands was recorded before, what is new was just written.
    done = place.git.run(place.top, "mktree", "-z", "--missing", "--batch", stdin=b"".join(texts))
    ids = done.out.decode().split()
    for folder in level:
        if folder:
            new = Entry(FOLDER, ids[full.index(folder)]) if folder in full else None
            _put(folders[folder[:-1]], folder[-1], new)
        elif folder not in full:
            raise BadText("That would leave the record empty.", "Keep at least site.toml.")
    return ids


def _put(tree: Tree, name: str, entry: Entry | None) -> None:
    if entry is None:
        tree.pop(name, None)
        return
    if name not in tree:
        twin = next((n for n in tree if n.casefold() == name.casefold()), None)
        if twin is not None:
            raise BadText(
                f"{name} and {twin} differ only in capital letters, which some machines cannot keep apart.",
                f"Use {twin}, or another name.",
            )
    tree[name] = entry


def _line(name: str, entry: Entry) -> bytes:
    kind = {FOLDER: "tree", "160000": "commit"}.get(entry.mode, "blob")
    return f"{entry.mode} {kind} {entry.id}\t{name}".encode("utf-8", "surrogateescape") + b"\0"

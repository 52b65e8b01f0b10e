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
    wanted = {parts[:depth] for parts in paths for depth in range(len(parts))} | {()}
    folders: dict[Parts, Tree] = {}
    root = None
    # Level by level and by id: git looks a path up from the top, through every large folder, each time.
    for depth in range(max(map(len, wanted)) + 1):
        level = [folder for folder in wanted if len(folder) == depth]
        ids = [_tree_id(folders, folder, commit) for folder in level]
        found = iter(read_objects(place, [name for name in ids if name]))
        for folder, name in zip(level, ids, strict=True):
            tree = next(found) if name else None
            if name and tree is None:
                raise Damaged(
                    f"The record's folder {'/'.join(folder) or 'itself'} is lost.", "Run asleft verify."
                )
            folders[folder] = parse_tree(tree.data, len(tree.id) // 2) if tree else {}
            root = tree.id if tree and not folder else root
    return Standing(folders, root)


def _tree_id(folders: Mapping[Parts, Tree], folder: Parts, commit: str | None) -> str | None:
    if not folder:
        return f"{commit}^{{tree}}" if commit else None
    entry = folders[folder[:-1]].get(folder[-1])
    return entry.id if entry and entry.mode == FOLDER else None


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

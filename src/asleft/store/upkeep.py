"""What keeps a large record fast."""

from __future__ import annotations

from asleft.store.place import Place

# A pack of a hundred thousand readings takes minutes on a slow disk.
_LONG = 3600.0


def upkeep(place: Place) -> list[str]:
    """Gather loose objects into a pack and write the table that makes the history of one path fast."""
    run, top = place.git.run, place.top
    loose = place.git.line(top, "count-objects")
    run(top, "repack", "-a", "-d", "-f", "--quiet", seconds=_LONG)
    run(top, "prune-packed", "--quiet", seconds=_LONG)
    run(top, "commit-graph", "write", "--reachable", "--changed-paths", "--no-progress", seconds=_LONG)
    return [f"Packed the record (before: {loose} loose).", "Wrote the table of changed paths."]

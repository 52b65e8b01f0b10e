"""Files as bytes, never more than anything of ours can hold."""

from __future__ import annotations

from pathlib import Path

from asleft.record import Fault, Refused

MOST_BYTES = 8_000_000


def read_bounded(path: Path, named: str = "", do_next: str = "Check the name.") -> bytes:
    """The bytes of a file. Raises ``Refused`` where it cannot be read or is beyond 8 million bytes."""
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except OSError as problem:
        raise Refused(Fault(f"{named or path} cannot be read: {problem.strerror}.", do_next)) from None
    if len(content) > MOST_BYTES:
        what = f"{named or path} holds more than {MOST_BYTES:,} bytes, and no file of this kind does."
        raise Refused(Fault(what, "Check that it is the right file."))
    return content

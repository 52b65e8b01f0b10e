"""What the tests of the store write, and when."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta, timezone

from asleft.store import Store

AT = datetime(2026, 3, 12, 14, 5, tzinfo=timezone(timedelta(hours=1)))
RECORDED = datetime(2026, 3, 12, 14, 20, tzinfo=UTC)
LEFT = "assets/E1/as_left.toml"


def record(
    store: Store,
    files: Mapping[str, bytes | None],
    subject: str = "E1 as left",
    trailers: tuple[tuple[str, str], ...] = (("Asset", "E1"), ("Reading", "as_left")),
    **more: object,
) -> str | None:
    """A write with everything filled in that a test does not speak of."""
    given = {"author_name": "R. Example", "author_email": "r@site.example", "author_at": AT}
    return store.write(files, subject, trailers, **{**given, "committed_at": RECORDED, **more})  # type: ignore[arg-type]

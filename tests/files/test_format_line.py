"""A file without its format line is told which line is missing and where it goes, whatever reads it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from asleft.files.assets import read_asset
from asleft.files.sets import read_set
from asleft.files.site import read_site
from asleft.files.tests import read_test
from asleft.models import read_model
from asleft.record import Fault, Refused
from asleft.spec import read_accepted, read_spec, read_waivers

READERS: list[tuple[str, Callable[..., Any]]] = [
    ("asset.toml", read_asset),
    ("as_left.toml", read_set),
    ("site.toml", read_site),
    ("test.toml", read_test),
    ("model.toml", read_model),
    ("spec.toml", read_spec),
    ("waivers.toml", read_waivers),
    ("accepted.toml", read_accepted),
]


def faults_of(read: Callable[..., Any], content: bytes, where: str) -> list[Fault]:
    try:
        return list(read(content, where).faults)
    except Refused as refused:
        return list(refused.faults)


@pytest.mark.parametrize(("name", "read"), READERS, ids=[name for name, _ in READERS])
def test_the_missing_line_is_named_with_its_place(name: str, read: Callable[..., Any]) -> None:
    told = [str(one) for one in faults_of(read, b"# no format\n", name)]
    wanted = (
        f"{name}, line 1: the line format = 1 is missing. Write it as the first line, above every [table]."
    )
    assert wanted in told
    assert not any("None" in one for one in told)


@pytest.mark.parametrize(("name", "read"), READERS, ids=[name for name, _ in READERS])
def test_a_format_from_later_is_never_read_by_guess(name: str, read: Callable[..., Any]) -> None:
    told = [str(one) for one in faults_of(read, b"\nformat = 2\n", name)]
    assert f"{name}, line 2: format 2 is newer than this program. Bring asleft up to date." in told

"""Ten edits explained by what the drive then does, in the words a person reads."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import behaviour_sets
import pytest

from asleft.behaviour import Drive, compare_behaviour

TEXT = (Path(__file__).parents[1] / "cases" / "behaviour_edits.toml").read_text(encoding="utf-8")
EDITS: dict[str, dict[str, Any]] = tomllib.loads(TEXT)["edit"]


@pytest.mark.parametrize("edit", EDITS.values(), ids=list(EDITS))
def test_an_edit_is_told_by_what_the_drive_then_does(edit: dict[str, Any]) -> None:
    base = getattr(behaviour_sets, edit["base"])
    changed = {key: value if isinstance(value, str) else Decimal(value) for key, value in edit["set"].items()}
    diff = compare_behaviour(Drive.of(base), Drive.of({**base, **changed}), k=0)
    first = diff.differences[0]
    assert first.words == edit["words"]
    assert set(first.causes) == set(changed)
    assert edit.get("also", "") in ("", *first.also)

"""A corrected reading stays in the history, marked, and no longer counts as what was read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.conftest import run_in


def test_a_corrected_reading_no_longer_counts(own_demo: Path) -> None:
    before: Any = run_in(own_demo, "history", "E1", "--format", "json").data["readings"]
    done = run_in(
        own_demo, "correct", "E1", "ramps.accel_time_1_s=8.5", "--reason", "misread", "--by", "T. Example"
    )
    assert done.code == 0, done.err
    after: Any = run_in(own_demo, "history", "E1", "--format", "json").data["readings"]
    assert len(after) == len(before) + 1
    assert [one["commit"] for one in after if one["corrected_by"]] == [before[-1]["commit"]]
    assert "WRONG, corrected by" in run_in(own_demo, "history", "E1").out
    one_back: Any = run_in(own_demo, "show", "E1~1", "--format", "json").data["set"]["commit"]
    assert one_back == before[0]["commit"]
    audit: Any = run_in(
        own_demo, "audit", "E1", "--since", "service", "--no-behaviour", "--format", "json"
    ).data
    assert audit["assets"][0]["recorded"] == 5
    assert run_in(own_demo, "verify").code == 0

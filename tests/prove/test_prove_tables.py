"""Who can do what, what a broken wire does, what each loss does: of the demo's drives and their spare."""

from __future__ import annotations

from typing import Any

import pytest

STATIONS = {
    "E1": {
        "remote": (["run forward (DI1)"], ["keypad", "run enable (DI4)", "run forward (DI1)"], []),
        "local": (["keypad"], ["keypad", "run enable (DI4)"], []),
    },
    "F2": {
        "remote": (["run forward (DI1)"], ["keypad", "run enable (DI4)", "run forward (DI1)"], ["analog 1"]),
        "local": (["keypad"], ["keypad", "run enable (DI4)"], ["keypad"]),
    },
}
COASTS = "has its output off at once and the shaft runs down by itself"


@pytest.mark.parametrize("tag", STATIONS)
def test_who_can_start_stop_and_set_the_speed(demo: Any, tag: str) -> None:
    data = demo("tables", tag, "--format", "json").data
    found = {row["station"]: (row["start"], row["stop"], row["speed"]) for row in data["stations"]}
    assert found == STATIONS[tag]
    assert all(row["reverse"] == [] for row in data["stations"])


WIRES = [
    ("E1", "external fault (DI5)", f"{COASTS}, fault external", "shown"),
    ("E1@found", "external fault (DI5)", "keeps running at 45.0 Hz, warning external fault", "shown"),
    ("E1", "fault reset (DI3)", "keeps running at 45.0 Hz", "no"),
    ("E1", "run enable (DI4)", COASTS, "by what it does"),
    ("F2", "analog 1", "runs forward at 38.0 Hz, warning signal 1 lost", "shown"),
]


@pytest.mark.parametrize(("name", "wire", "running", "noticed"), WIRES)
def test_what_a_broken_wire_does(demo: Any, name: str, wire: str, running: str, noticed: str) -> None:
    rows = {row["wire"]: row for row in demo("tables", name, "--format", "json").data["wires"]}
    assert (rows[wire]["running"], rows[wire]["noticed"]) == (running, noticed)


def test_what_starts_by_itself_stands_first_in_the_text(demo: Any) -> None:
    lines = demo("tables", "E1").out.splitlines()
    assert lines[0] == "E1 can be started in local: keypad; in remote: run forward (DI1)."
    assert lines[1].startswith("Keep clear of the shaft")
    assert lines[3].strip() == (
        "Loss over (run enable), the command standing: starts by itself and runs forward at 45.0 Hz."
    )


def test_each_loss_and_its_return(demo: Any) -> None:
    losses = {row["loss"]: row for row in demo("tables", "F2", "--format", "json").data["losses"]}
    assert losses["supply"]["on_return"] == "stays at rest"
    assert losses["analog 1 signal"]["does"] == "runs forward at 38.0 Hz, warning signal 1 lost"
    assert losses["analog 1 signal"]["on_return"] == "runs forward at 36.0 Hz"


def test_a_loose_unit_is_tabled_with_its_coverage(demo: Any) -> None:
    data = demo("tables", "units/f2-spare.toml", "--format", "json").data
    assert data["stations"]
    assert data["coverage"]["modelled"] > 50
    assert "Followed: " in demo("tables", "units/f2-spare.toml").out


def test_without_a_model_nothing_is_said(demo: Any, tmp_path: Any) -> None:
    file = tmp_path / "loose.toml"
    file.write_text('format = 1\nasset = "E1"\n[ramps]\naccel_time_1_s = 8.0\n', encoding="utf-8")
    ran = demo("tables", str(file))
    assert ran.code == 2
    assert "no drive model is at hand" in ran.err

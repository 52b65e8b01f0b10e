"""A third maker's model works through the command line with nothing but its file.

The model, its readings and its spec are invented, written from DEVELOPERS.md alone.
"""

import io
import shutil
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import Ran, run_in

from asleft.models import read_model
from asleft.models.check import check

CASES = Path(__file__).parents[1] / "cases" / "models" / "stranger"
MODEL = CASES / "quillon-q7.toml"
CODE = "8531"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site with the model, a slot, a commissioning reading from CSV and a service reading from input."""
    folder = tmp_path_factory.mktemp("stranger") / "site"
    run(folder.parent, "init", "site", "--name", "Quarry", "--time-zone", "Europe/Vienna")
    for name in ("models", "specs", "units"):
        (folder / name).mkdir()
    shutil.copy(MODEL, folder / "models")
    shutil.copy(CASES / "belt.toml", folder / "specs")
    shutil.copy(CASES / "spare.csv", folder / "units")
    run(folder, "model", "check")
    fields = ("designation=Clinker belt", "application=conveyor", "model=quillon-q7-5k5", "specs=belt")
    run(folder, "asset", "add", "C1", *fields)
    run(folder, "asset", "set", "C1", "plate.rated_power_kw=7.5hp", "plate.rated_current_a=10.4")
    snapshot = ("snapshot", "C1", "--by", "R. Example")
    left = ("--reading", "as-left", "--occasion", "commissioning", "--at", "2026-02-03T10:00")
    run(folder, *snapshot, "--from", str(CASES / "as_left.csv"), *left)
    found = ("--reading", "as-found", "--occasion", "service", "--at", "2026-08-11T07:30")
    with pytest.MonkeyPatch.context() as patched:
        content = (CASES / "as_found.csv").read_bytes()
        patched.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content), encoding="utf-8"))
        run(folder, *snapshot, "--from", "-", *found)
    return folder


def run(folder: Path, *arguments: str) -> Ran:
    done = run_in(folder, *arguments)
    assert done.code == 0, done.err
    return done


def answer(site: Path, *arguments: str, code: int = 0) -> Any:
    done = run_in(site, *arguments, "--format", "json")
    assert done.code == code, done.err
    return done.data


def test_the_model_is_sound_and_no_copy_of_the_demo() -> None:
    assert check(read_model(MODEL.read_bytes(), MODEL.name)) == ()
    parameters = tomllib.loads(MODEL.read_text(encoding="utf-8"))["parameters"]
    assert len(parameters) >= 60
    forms = {row.get("form") for row in parameters.values()}
    assert forms >= {"percent", "rpm", "band_centre", "band_half", "bits", "secret", "text"}
    assert any(row.get("unit") == "min" for row in parameters.values())
    assert any(isinstance(one, dict) for row in parameters.values() for _, one in choices(row))


def choices(row: dict[str, Any]) -> list[Any]:
    return list(row.get("choices", {}).values())


def test_a_reading_becomes_neutral(site: Path) -> None:
    values = answer(site, "show", "C1")["values"]
    # by hand: 300 rpm at 4 poles, 2.5 min, 22.0 Hz less and plus 1.5 Hz, 20 % of 50 Hz, 99 % of 10.5 A
    assert values["limits.frequency_min_hz"] == 10
    assert values["limits.minimum_speed_timeout_s"] == 150
    assert values["skip_bands.band_1.low_hz"] == 20.5
    assert values["skip_bands.band_1.high_hz"] == 23.5
    assert values["presets.preset_1_hz"] == 10
    assert values["protection.overload_current_a"] == 10.4
    assert values["comms.bus_speed_kbit_s"] == 38.4
    assert values["recovery.auto_reset_faults"] == ["overcurrent", "undervoltage"]
    assert values["digital_inputs.di_3.sense"] == "acts_when_open"
    assert values["access.pin_state"] == "set"


def test_the_drive_shows_again_what_was_read(site: Path) -> None:
    shown = answer(site, "show", "C1@found")["as_displayed"]
    lines = (CASES / "as_found.csv").read_text(encoding="utf-8").split()[1:]
    read = {name: text for name, _, text in (line.partition(",") for line in lines)}
    assert shown == read | {"8-01": "set"}
    text = run(site, "show", "C1@found", "--native").out
    assert "6-09  Retries        7\n" in text, "beyond the list's range, and read"
    assert "4-13  Terminal X4  9 (light test)\n" in text, "without a meaning, and read"


def test_the_code_is_nowhere_on_disk(site: Path) -> None:
    assert not [file for file in site.rglob("*.toml") if CODE in file.read_text(encoding="utf-8")]
    assert CODE not in run(site, "show", "C1", "--native").out


def test_what_changed_is_told_and_judged(site: Path) -> None:
    changed = {one["key"] for one in answer(site, "diff", "C1", "C1@found", code=1)["changes"]}
    wanted = {
        "ramps.decel_time_1_s", "protection.signal_loss_reaction", "recovery.auto_reset_attempts",
        "recovery.auto_reset_faults", "comms.bus_speed_kbit_s",
    }  # fmt: skip
    assert changed == wanted
    factory = answer(site, "diff", "C1@factory", "C1", "--no-behaviour", code=1)
    assert {"limits.frequency_min_hz", "presets.preset_1_hz"} <= {one["key"] for one in factory["changes"]}
    findings = answer(site, "check", "C1@found", code=1)["findings"]
    assert {one["rule"] for one in findings if one["result"] == "breached"} >= {"1", "2"}
    for since in ("service", "commissioning"):
        (row,) = answer(site, "audit", "C1", "--since", since, "--no-behaviour", code=1)["assets"]
        assert row["breached_by_unrecorded"] == ["1", "2"]
    assert [one["changes"] for one in answer(site, "history", "C1")["readings"]] == [None, 5]


def test_an_edit_is_planned_in_the_drive_s_own_terms(site: Path) -> None:
    plan = run_in(site, "plan", "C1", "2-02=12 Hz", "7-02=9600", "--reason", "stones", "--dry-run")
    assert plan.code == 0, plan.err
    assert "2-02 Low speed: now 300 rpm, enter 360 rpm" in plan.out
    assert "7-02 Bus speed: now 2 (38400), enter 0 (9600)  [STOPPED]" in plan.out
    refused = run_in(site, "plan", "C1", "2-06=22 bar", "--reason", "stones", "--dry-run")
    assert refused.code == 2
    assert "bar" in refused.err


def test_a_unit_of_the_same_model_is_put_right(site: Path) -> None:
    done = answer(site, "compare", "C1", "units/spare.csv", code=1)
    entries = {one["id"]: one for one in done["put_right"] if one["id"]}
    assert entries["2-02"]["enter"] == "300 rpm"
    assert entries["6-11"]["enter"] == "5 (OC, UV)"
    assert entries["7-02"]["enter"] == "2 (38400)"
    assert "8-01" not in entries, "a code is entered by whoever holds it"


def test_the_example_for_contributors_lacks_nothing_but_keys() -> None:
    """The example is short, so many keys are nowhere in it; whatever else it says must hold."""
    text = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    example = text.partition("```toml\n")[2].partition("```")[0]
    faults = check(read_model(example.encode(), "example.toml"))
    assert faults
    assert [fault for fault in faults if "neither settable, fixed nor absent" not in fault.what] == []

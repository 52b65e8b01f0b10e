"""The demo's specs and waivers tell the story of the store: harvest night, service, 1 October, the spare."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from asleft.files.assets import read_asset
from asleft.files.sets import read_set
from asleft.models import Model, read_model
from asleft.record import Asset, Value
from asleft.record.findings import Finding
from asleft.spec import (
    Spec,
    Subject,
    add_waiver,
    allowed_as_found,
    check_spec,
    judge,
    read_spec,
    read_waivers,
    waiver_notes,
)

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
SERVICE = DEMO / "readings" / "2026-09-02"
NIGHT: Mapping[str, Value] = {
    "protection.external_fault_reaction": "warning",
    "recovery.auto_reset_attempts": Decimal(5),
    "ramps.accel_time_1_s": Decimal("6.5"),
    "outputs.relay_1.off_delay_s": Decimal("10.0"),
    "access.setting_lock": "open",
}


@cache
def _specs() -> Mapping[str, Spec]:
    files = [read_spec(path.read_bytes(), path.name) for path in sorted((DEMO / "specs").glob("*.toml"))]
    return {file.spec.name: file.usable() for file in files}


@cache
def _model(name: str) -> Model:
    for path in (DEMO / "models").glob("*.toml"):
        file = read_model(path.read_bytes(), path.name)
        if name in file.full_names:
            return file.size(name.removeprefix(f"{file.name}-"))
    raise LookupError(name)


@cache
def _assets() -> Mapping[str, Asset]:
    paths = sorted((DEMO / "assets").glob("*/asset.toml"))
    return {path.parent.name: read_asset(path.read_bytes(), path.name) for path in paths}


@cache
def _subjects() -> Mapping[str, Subject]:
    """The drives whose reading of the service lies in the demo as a whole set."""
    found = {}
    for path in sorted(SERVICE.glob("*.toml")):
        tag = path.stem.removesuffix("-left")
        found[tag] = Subject(
            _assets()[tag], read_set(path.read_bytes(), path.name), _model(_assets()[tag].model)
        )
    return found


def _changed(tag: str, values: Mapping[str, Value]) -> Subject:
    subject = _subjects()[tag]
    return replace(subject, set=subject.set.with_values(values))


def _judged(subject: Subject, on: date) -> dict[str, Finding]:
    waivers = read_waivers((DEMO / "waivers.toml").read_bytes(), "waivers.toml")
    assert not waivers.faults
    others = {
        **_subjects(),
        **{
            tag: Subject(asset, replace(subject.set, values={}))
            for tag, asset in _assets().items()
            if tag not in _subjects()
        },
    }
    specs = [_specs()[name] for name in subject.asset.specs]
    found = judge(specs, subject, {**others, subject.asset.tag: subject}, waivers.waivers, on)
    return {finding.rule: finding for finding in found}


def _breached(found: Mapping[str, Finding]) -> list[str]:
    return sorted(rule for rule, finding in found.items() if finding.result == "breached")


def test_the_harvest_night_is_four_breaches_and_one_change_without() -> None:
    found = _judged(_changed("E1", NIGHT), date(2026, 9, 2))
    assert _breached(found) == ["41", "44", "45", "46"]
    assert found["42"].result == "met" and found["42"].found == "6.5 s"
    assert found["45"].keys == ("outputs.relay_1.off_delay_s",)


@pytest.mark.parametrize("tag", ["E1", "E2", "C2", "D1", "F2"])
def test_as_left_after_the_service_nothing_is_breached(tag: str) -> None:
    assert _breached(_judged(_subjects()[tag], date(2026, 9, 2))) == []


@pytest.mark.parametrize(
    ("tag", "rule", "waiver", "last", "after"),
    [
        ("D1", "49", "W-03", date(2026, 9, 30), date(2026, 10, 1)),
        ("C2", "16", "W-02", date(2027, 3, 31), date(2027, 4, 1)),
    ],
)
def test_a_waiver_ends_overnight_with_no_setting_touched(
    tag: str, rule: str, waiver: str, last: date, after: date
) -> None:
    before = _judged(_subjects()[tag], last)[rule]
    assert (before.result, before.waiver) == ("waived", waiver)
    expired = _judged(_subjects()[tag], after)[rule]
    assert expired.result == "breached"
    assert "waiver expired on" in expired.notes[0]


def test_the_waiver_of_the_dust_fan_is_for_half_a_second_only() -> None:
    longer = _changed("D1", {"supply.power_dip_max_time_s": Decimal("1.0")})
    assert "49" in _breached(_judged(longer, date(2026, 9, 2)))
    restarts = _changed("D1", {"start_stop.start_at_power_up": "allow"})
    assert {"49", "49b"} <= set(_breached(_judged(restarts, date(2026, 9, 2))))


def test_a_fan_at_52_hz_breaches_rule_9() -> None:
    assert _breached(
        _judged(_changed("F2", {"limits.frequency_max_hz": Decimal("52.00")}), date(2026, 9, 2))
    ) == ["9"]


def test_the_spare_with_everything_copied_breaches_what_cannot_be_set() -> None:
    """Matched in all that the spare can hold, it still breaches rule 51, and rule 39 by how it behaves."""
    spare = read_set((DEMO / "units" / "f2-spare.toml").read_bytes(), "f2-spare.toml")
    model = _model(spare.model)
    old = _subjects()["F2"]
    kept = {key: value for key, value in old.set.values.items() if model.has(key) and key not in model.fixed}
    kept |= {
        "ramps.accel_time_1_s": Decimal(120),
        "ramps.decel_time_1_s": Decimal(180),
        "protection.signal_loss_reaction": "go_to_minimum",
    }
    found = _judged(Subject(old.asset, spare.with_values(kept), model), date(2026, 10, 12))
    assert _breached(found) == ["39", "51"]
    assert found["14"].result == "met" and found["11"].found == "60 s to 50 Hz (120 s to 100 Hz)"
    assert "has no such choice" in found["51"].set_to
    waived = {
        "rule": "51",
        "assets": ["F2"],
        "reason": "The spare knows no set speed for a lost signal.",
        "asked_by": "R. Example",
        "approved_by": "H. Example",
        "from": date(2026, 10, 12),
        "until_event": "replacement",
        "allowed": allowed_as_found(found["51"]),
    }
    waivers = read_waivers(add_waiver(b"", "waivers.toml", "W-04", waived), "waivers.toml").waivers
    subject = Subject(old.asset, spare.with_values(kept), model)
    again = judge([_specs()["aeration-fan"]], subject, {}, waivers, date(2026, 10, 12))
    assert {one.rule: one.result for one in again}["51"] == "waived"
    worse = replace(subject, set=subject.set.with_values({"protection.signal_loss_reaction": "hold_last"}))
    again = judge([_specs()["aeration-fan"]], worse, {}, waivers, date(2026, 10, 12))
    assert {one.rule: one.result for one in again}["51"] == "breached"


def test_what_the_spare_cannot_do_is_told_by_the_spec_itself() -> None:
    file = read_spec((DEMO / "specs" / "aeration-fan.toml").read_bytes(), "aeration-fan.toml")
    told = [remark.words for remark in check_spec(file, [_model("skarn-k-18k5")])]
    assert all(words.startswith("Rule 51 cannot be met on Skarn K 18k5: ") for words in told)
    assert "its reaction to signal loss can be" in told[0] and "has no setting" in told[1]


def test_the_specs_have_no_contradictions_blanks_or_missing_sources() -> None:
    for path in (DEMO / "specs").glob("*.toml"):
        file = read_spec(path.read_bytes(), path.name)
        beside = [read_spec(other.read_bytes(), other.name) for other in (DEMO / "specs").glob("*.toml")]
        assert check_spec(file, beside=beside) == ()


def test_on_the_day_before_its_end_the_waiver_is_said_to_run_out() -> None:
    waivers = read_waivers((DEMO / "waivers.toml").read_bytes(), "waivers.toml").waivers
    on = date(2026, 9, 29)
    subject = _subjects()["D1"]
    found = _judged(subject, on).values()
    notes = waiver_notes(waivers, found, {"D1": subject}, on)
    assert [(note.waiver, note.words) for note in notes] == [
        ("W-03", "Waiver W-03 expires tomorrow, on 30 September 2026.")
    ]

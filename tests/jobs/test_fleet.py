"""Forty alike drives through the command line: who stands apart, and how far one change has come."""

from __future__ import annotations

import csv
import subprocess
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from tests.conftest import run_in

from asleft.files.assets import write_asset
from asleft.record import Asset

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
BASE = dict(csv.reader((DEMO / "readings/2026-03-12/F1.csv").open(encoding="utf-8")))
PLANTED = {"FAN07": {"3610sub2": "45.0"}, "FAN19": {"3410sub3": "52.00"}, "FAN33": {"5010sub2": "0"}}
OTHER_MODEL = "FAN40"


def rows(changes: dict[str, str]) -> str:
    return "".join(f"{name},{value}\n" for name, value in {**BASE, **changes}.items())


@pytest.fixture(scope="module")
def forty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site of 39 fans on one model and one on another, three of them strayed."""
    top = tmp_path_factory.mktemp("forty")
    site = top / "site"
    assert run_in(top, "init", "site", "--time-zone", "Europe/Vienna").code == 0
    (site / "models").mkdir()
    for file in (DEMO / "models").glob("*.toml"):
        (site / "models" / file.name).write_bytes(file.read_bytes())
    for number in range(1, 41):
        tag = f"FAN{number:02d}"
        model = "skarn-k-18k5" if tag == OTHER_MODEL else "merrow-m4-18k5"
        place = {"comms.node_address": Decimal(number)}
        slot = site / "assets" / tag / "asset.toml"
        slot.parent.mkdir(parents=True)
        slot.write_bytes(write_asset(Asset(tag, model=model, alike="fans", values=place)))
    subprocess.run(["git", "add", "-A"], cwd=site, check=True)
    subprocess.run(["git", "commit", "-qm", "Forty slots, written by hand"], cwd=site, check=True)
    for number in range(1, 41):
        tag = f"FAN{number:02d}"
        read(site, tag, {"4100sub2": str(number), **PLANTED.get(tag, {})})
    return site


def read(site: Path, tag: str, changes: dict[str, str], at: str = "2026-03-12T10:00") -> None:
    source = site.parent / f"{tag}.csv"
    source.write_text(rows(changes), encoding="utf-8")
    if tag == OTHER_MODEL:
        source = DEMO / "units" / "f2-spare.toml"
    done = run_in(
        site,
        "snapshot",
        tag,
        "--from",
        str(source),
        "--reading",
        "as-left",
        "--occasion",
        "commissioning",
        "--at",
        at,
        "--by",
        "T. Example",
    )
    assert done.code == 0, done.err


def test_three_strays_and_the_other_model_stand_apart(forty: Path) -> None:
    ran: Any = run_in(forty, "alike", "fans", "--on", "2026-04-01", "--format", "json")
    assert ran.code == 1
    apart = ran.data["outliers"]
    assert set(apart) == {*PLANTED, OTHER_MODEL}
    assert apart["FAN07"] == ["ramps.decel_time_1_s"]
    assert apart["FAN19"] == ["limits.frequency_max_hz"]
    assert apart["FAN33"] == ["access.setting_lock"]
    assert len(apart[OTHER_MODEL]) > 10
    text = run_in(forty, "alike", "fans", "--on", "2026-04-01").out
    assert "most of all FAN40" in text.splitlines()[0]
    assert "FAN07: deceleration time 1 45.0 s; the others 90.0 s." in text


def test_a_doubled_address_comes_first(forty: Path, tmp_path: Path) -> None:
    import shutil

    site = tmp_path / "site"
    shutil.copytree(forty, site, symlinks=True)
    read(site, "FAN05", {"4100sub2": "6"}, "2026-03-13T10:00")
    text = run_in(site, "alike", "fans", "--on", "2026-04-01").out
    assert text.startswith("FAN05 and FAN06 have the same bus station address, 6")


def test_a_roll_out_ends_with_37_done_two_not_read_one_not_applicable(forty: Path, tmp_path: Path) -> None:
    import shutil

    site = tmp_path / "site"
    shutil.copytree(forty, site, symlinks=True)
    change = (
        "--set",
        "protection.signal_loss_reaction=go_to_preset",
        "--set",
        "protection.signal_loss_preset_hz=36",
    )
    for number in range(1, 38):
        tag = f"FAN{number:02d}"
        read(site, tag, {"4100sub2": str(number), **signal_loss("36.0")}, "2026-05-01T10:00")
    read(site, OTHER_MODEL, {}, "2026-05-01T10:00")
    ran: Any = run_in(
        site, "rollout", "fans", *change, "--since", "2026-05-01", "--on", "2026-05-02", "--format", "json"
    )
    assert ran.code == 1
    assert ran.data["counts"] == {
        "done": 37,
        "differs": 0,
        "not_read": 0,
        "not_applicable": 1,
        "never_read": 2,
    }
    assert ran.data["never_read"] == ["FAN38", "FAN39"]
    assert (
        "37 done, 0 differs, 2 not read, 1 not applicable"
        in run_in(site, "rollout", "fans", *change, "--since", "2026-05-01", "--on", "2026-05-02").out
    )


def signal_loss(hertz: str) -> dict[str, str]:
    """The native row of the speed on signal loss, as the base reading shows it."""
    (native_id,) = [name for name, value in BASE.items() if value in ("38.0", "38.00")]
    return {native_id: hertz}

"""Which reading a name means: by day in the site's zone, by time, by steps back."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.conftest import run_in

CASES = Path(__file__).parents[1] / "cases" / "models" / "stranger"
READINGS = (
    ("as-left", "commissioning", "2026-03-08T01:59", "as_left.csv"),
    ("as-found", "service", "2026-03-08T23:30", "as_found.csv"),
    ("as-left", "service", "2026-03-09T04:10Z", "as_left.csv"),
)
LEFT, FOUND, LEFT_AGAIN = (
    "as left 8 March 2026, commissioning",
    "as found 8 March 2026, service",
    "as left 9 March 2026, service",
)
NAMES = {
    "A1": LEFT_AGAIN,
    "A1~1": LEFT,
    "A1@left~1": LEFT,
    "A1@found": FOUND,
    "A1@service": LEFT_AGAIN,
    "A1@commissioning": LEFT,
    "A1@2026-03-08": FOUND,  # 23:30 there, and already the 9th in Vienna
    "A1@2026-03-09": LEFT_AGAIN,
    "A1@2026-03-09~1": FOUND,
    "A1@2030-01-01": LEFT_AGAIN,
    "A1@2026-03-08T23:29": LEFT,
    "A1@2026-03-08T23:30": FOUND,
    "A1@2026-03-09T03:29Z": LEFT,
    "A1@2026-03-09T03:30Z": FOUND,
    "a1@FOUND": FOUND,
}
NOTHING = ("A1~2", "A1@found~1", "A1@planned", "A1@2026-03-07", "A1@replacement", "A1@2026-03-08T01:58")


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A site in New York with three readings around midnight, the last told in another zone."""
    folder = tmp_path_factory.mktemp("points") / "site"
    assert (
        run_in(folder.parent, "init", "site", "--name", "Pier", "--time-zone", "America/New_York").code == 0
    )
    (folder / "models").mkdir()
    shutil.copy(CASES / "quillon-q7.toml", folder / "models")
    assert run_in(folder, "asset", "add", "A1", "model=quillon-q7-5k5").code == 0
    for kind, occasion, at, file in READINGS:
        given = ("--reading", kind, "--occasion", occasion, "--at", at, "--by", "T. Example")
        assert run_in(folder, "snapshot", "A1", "--from", str(CASES / file), *given).code == 0
    return folder


@pytest.mark.parametrize(("name", "words"), NAMES.items(), ids=NAMES)
def test_the_reading_meant(site: Path, name: str, words: str) -> None:
    ran = run_in(site, "show", name)
    assert ran.code == 0, ran.err
    assert ran.out.startswith(f"A1 {words}: ")


@pytest.mark.parametrize("name", NOTHING)
def test_where_there_is_none_it_says_what_there_is(site: Path, name: str) -> None:
    ran = run_in(site, "show", name)
    assert ran.code == 2
    assert f"{name} is not in the record. Of A1 there is: {LEFT}; {FOUND}; {LEFT_AGAIN}." in ran.err


def test_a_day_names_the_readings_on_both_sides(site: Path) -> None:
    told = run_in(site, "show", "A1@2026-03-08").out
    assert f"The last reading by 2026-03-08 is {FOUND}; the next is {LEFT_AGAIN}; what changed" in told


def test_times_are_told_in_the_zone_of_the_site(site: Path) -> None:
    told = run_in(site, "history", "A1").out
    assert [line[:18].strip() for line in told.splitlines()[3:]] == [
        "8 March 2026 01:59",
        "8 March 2026 23:30",
        "9 March 2026 00:10",
    ]


def test_a_reading_recorded_late_does_not_become_the_current_one(site: Path, tmp_path: Path) -> None:
    late = tmp_path / "site"
    shutil.copytree(site, late, symlinks=True)
    given = ("--reading", "as-left", "--occasion", "change", "--at", "2026-03-08T12:00", "--by", "T. Example")
    ran = run_in(late, "snapshot", "A1", "--from", str(CASES / "as_found.csv"), *given)
    assert ran.code == 0, ran.err
    assert f"{LEFT_AGAIN[0].upper()}{LEFT_AGAIN[1:]}, was read later and stays the current one." in ran.out
    assert f"Differs from {LEFT} (5)" in ran.out
    assert run_in(late, "show", "A1").out.startswith(f"A1 {LEFT_AGAIN}: ")


def test_without_a_model_nothing_is_said_of_factory_values(tmp_path: Path) -> None:
    (tmp_path / "some.csv").write_text("key,value\nmotor.rated_current_a,28.5\n", encoding="utf-8")
    told = run_in(tmp_path, "show", "some.csv").out
    assert "some.csv: 1 key read.\nNo drive model is at hand, so factory values" in told
    assert "differ from factory" not in told

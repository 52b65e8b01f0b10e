"""Audits of visits in an odd order, and of waivers that a replacement has ended."""

from __future__ import annotations

from pathlib import Path

from tests.conftest import run_in

SINCE = ("--since", "2026-09-03", "--on", "2026-10-31")


def read(site: Path, tag: str, kind: str, at: str, occasion: str = "fault-call", **changed: str) -> None:
    """Read a drive as it was left by the service, but for some lines of its file."""
    kept = site.parent / f"{tag}.toml"
    if not kept.exists():
        kept.write_bytes((site / "assets" / tag / "as_left.toml").read_bytes())
    text = [
        next((f"{name} = {new}" for name, new in changed.items() if line.startswith(f"{name} =")), line)
        for line in kept.read_text(encoding="utf-8").splitlines()
    ]
    source = site.parent / "reading.toml"
    source.write_text("\n".join(text), encoding="utf-8", newline="\n")
    ran = run_in(
        site, "snapshot", tag, "--from", str(source), "--reading", kind, "--occasion", occasion,
        "--reason", "tried out", "--at", at,
    )  # fmt: skip
    assert ran.code == 0, ran.err


def test_a_visit_that_is_still_open_is_judged_as_found(own_demo: Path) -> None:
    read(own_demo, "E1", "as-found", "2026-10-05T08:00", auto_reset_attempts="3")
    first, then, *rest = run_in(own_demo, "audit", "E1", *SINCE).out.splitlines()
    assert first == (
        "E1: 1 change was made without a record; it breached rule 41. "
        "Breached at the last reading: E1 rule 41."
    )
    assert then == "Put right what is breached: asleft check E1@found"
    assert any("Breached as found:" in line for line in rest)


def test_a_change_that_still_stands_is_not_said_to_be_put_back(own_demo: Path) -> None:
    read(own_demo, "E1", "as-found", "2026-10-05T08:00", accel_time_1_s="7.0")
    read(own_demo, "E1", "as-found", "2026-10-06T08:00", accel_time_1_s="7.0", auto_reset_attempts="3")
    read(own_demo, "E1", "as-left", "2026-10-06T09:00", accel_time_1_s="7.0")
    first, then, *_ = run_in(own_demo, "audit", "E1", *SINCE).out.splitlines()
    assert "2 changes were made without a record, of which 1 setting stands otherwise than before" in first
    assert then.startswith("No rule is breached. Ask who made the changes and why; put back or record")


def test_what_was_put_back_is_said_to_be_put_back(own_demo: Path) -> None:
    read(own_demo, "E1", "as-found", "2026-10-05T08:00", accel_time_1_s="7.0")
    read(own_demo, "E1", "as-left", "2026-10-05T09:00")
    first, then, *_ = run_in(own_demo, "audit", "E1", *SINCE).out.splitlines()
    assert first == "E1: 1 change was made without a record and put back since; it breached no rule."
    assert then.startswith("All is put back as left")


def test_a_later_replacement_does_not_bring_a_waiver_back(own_demo: Path) -> None:
    """W-03 ends with the unit; judged between two replacements, the first has ended it."""
    waivers = own_demo / "waivers.toml"
    text = waivers.read_text(encoding="utf-8")
    waivers.write_text(text.replace("stays_with_slot = true", "stays_with_slot = false"), encoding="utf-8")
    for day in ("2026-09-10", "2026-09-20"):
        read(own_demo, "C1", "as-left", f"{day}T08:00", "replacement")
    told = {
        day: run_in(own_demo, "check", "C1@2026-09-02", "--on", day, "--format", "json").data
        for day in ("2026-09-09", "2026-09-15", "2026-09-21")
    }
    found = {
        day: next(one["result"] for one in data["findings"] if one["rule"] == "16")
        for day, data in told.items()
    }
    assert found == {"2026-09-09": "waived", "2026-09-15": "breached", "2026-09-21": "breached"}

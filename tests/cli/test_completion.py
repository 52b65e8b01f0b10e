"""What the shell is told a word may become."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.conftest import run_in

BASH = {
    ("asleft sh", 1): ["show"],
    ("asleft waive", 1): ["waive", "waivers"],
    ("asleft show E", 2): ["E1", "E2"],
    ("asleft show e", 2): ["E1", "E2"],
    ("asleft diff E1 F", 3): ["F1", "F2", "F3"],
    ("asleft plan E1 ramps.decel", 3): ["ramps.decel_time_1_s", "ramps.decel_time_2_s"],
    ("asleft asset set E1 plate.rated_c", 4): ["plate.rated_current_a"],
    ("asleft asset s", 2): ["set", "show"],
    ("asleft explain motor.pole", 2): ["motor.pole_count"],
    ("asleft check --form", 2): ["--format"],
    ("asleft model show E", 3): [],
}


@pytest.mark.parametrize(("line", "place"), BASH, ids=[line for line, _ in BASH])
def test_bash(
    built_demo: Path,
    line: str,
    place: int,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("_ASLEFT_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", line)
    monkeypatch.setenv("COMP_CWORD", str(place))
    assert run_in(built_demo, "not", "looked", "at").code == 0
    assert capsys.readouterr().out.split() == BASH[line, place]


def test_points_of_a_tag(
    built_demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A shell that hands over the whole word; bash parts it at the @."""
    monkeypatch.setenv("_ASLEFT_COMPLETE", "complete_zsh")
    monkeypatch.setenv("_TYPER_COMPLETE_ARGS", "asleft show E1@f")
    assert run_in(built_demo).code == 0
    told = capsys.readouterr().out
    assert "E1@found" in told and "E1@factory" in told and "E1@left" not in told and "E2@" not in told


def test_outside_of_a_site_there_is_nothing_to_offer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("_ASLEFT_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", "asleft show E")
    monkeypatch.setenv("COMP_CWORD", "2")
    assert run_in(tmp_path).code == 0
    assert capsys.readouterr().out.strip() == ""

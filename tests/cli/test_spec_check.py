"""A spec is checked by its name in the site, or by a path that may lie anywhere."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.conftest import run_in


def test_a_path_into_the_site_is_the_spec_of_that_name(built_demo: Path) -> None:
    named = run_in(built_demo, "spec", "check", "dust-fan", "--format", "json")
    assert named.code == 0, named.err
    for path in ("specs/dust-fan.toml", str(built_demo / "specs" / "dust-fan.toml")):
        by_path = run_in(built_demo / "units", "spec", "check", path, "--format", "json")
        assert by_path.code == 0, by_path.err
        (one,), (other,) = named.data["specs"], by_path.data["specs"]
        assert {**one, "file": ""} == {**other, "file": ""}


@pytest.fixture
def draft(built_demo: Path, tmp_path: Path) -> Path:
    """An edited copy outside of the site, with a slip."""
    file = tmp_path / "dust-fan.toml"
    text = (built_demo / "specs/dust-fan.toml").read_text(encoding="utf-8")
    file.write_text(text.replace("severity =", "severty =", 1), encoding="utf-8", newline="\n")
    return file


def test_a_draft_that_lies_elsewhere_is_checked_with_or_without_a_site(built_demo: Path, draft: Path) -> None:
    for folder, name in (
        (built_demo, str(draft)),
        (draft.parent, "dust-fan.toml"),
        (draft.parent, "./dust-fan.toml"),
    ):
        ran = run_in(folder, "spec", "check", name)
        assert ran.code == 1, ran.err
        assert "severty means nothing here. Did you mean severity" in ran.out


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("drafts/none.toml", "drafts/none.toml cannot be read"),
        ("dust-fann", "Did you mean dust-fan?"),
    ],
)
def test_what_is_not_there_is_said(built_demo: Path, name: str, words: str) -> None:
    ran = run_in(built_demo, "spec", "check", name)
    assert ran.code == 2
    assert words in ran.err

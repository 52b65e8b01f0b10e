"""Explained changes, word for word. `python tests/explain/explain_cases.py` writes the texts anew."""

from __future__ import annotations

import pytest
from explain_cases import CASES, FILES, GOLDEN, cases, golden, told


@pytest.mark.parametrize("file", FILES)
def test_changes_are_told_as_read_and_approved(file: str) -> None:
    assert golden(file) == (GOLDEN / f"{file}.txt").read_text(encoding="utf-8")


def test_every_case_file_is_in_use() -> None:
    assert {path.stem for path in CASES.glob("*.toml")} == {*FILES, "machines", "numbers"}


@pytest.mark.parametrize("file", FILES)
def test_a_reader_gets_one_to_three_lines_a_change(file: str) -> None:
    for case in cases(file):
        lines = [line for one in told(case) for line in one.effects]
        assert all(len(one.effects) <= 3 for one in told(case))
        assert len(set(lines)) == len(lines), f"{case.name} says a line twice"
        assert all(line[0] in '"' or line[0].isupper() or line[0].isdigit() for line in lines)
        assert all(line.endswith(".") and "  " not in line for line in lines)


def test_thirty_changes_and_twelve_made_up_edits_stand_as_texts() -> None:
    assert len(cases("usual")) >= 30
    assert len(cases("untuned")) == 12

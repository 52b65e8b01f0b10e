"""An approval of a rule that goes covers what it names, and nothing while anything of it is wrong."""

from __future__ import annotations

import pytest

from asleft.spec import read_waivers

SOUND = {
    "spec": '"every-drive"',
    "rule": '"16"',
    "assets": '["C1"]',
    "reason": '"Invented."',
    "asked_by": '"R. Example"',
    "approved_by": '"H. Example"',
    "on": "2026-11-20",
}


def file_of(fields: dict[str, str]) -> bytes:
    lines = "".join(f"{name} = {text}\n" for name, text in fields.items() if text)
    return f'format = 1\n[approval."A-01"]\n{lines}'.encode()


def test_it_covers_what_it_names() -> None:
    (approval,) = read_waivers(file_of(SOUND), "waivers.toml").approvals
    assert approval.covers("every-drive", "16", "C1")
    assert not approval.covers("every-drive", "17", "C1")
    assert not approval.covers("dust-fan", "16", "C1")
    assert not approval.covers("every-drive", "16", "C2")
    assert not approval.covers("every-drive", "16", ""), "gone for every drive is more than gone for one"
    (wide,) = read_waivers(file_of({**SOUND, "rule": "", "assets": ""}), "waivers.toml").approvals
    assert wide.covers("every-drive", "17", "") and wide.covers("every-drive", "", "C2")


FLAWS = [
    ({"reason": ""}, "reason is missing"),
    ({"approved_by": '" "'}, "approved_by is missing"),
    ({"approved_by": '"r.  example"'}, "the same person"),
    ({"on": '"2026-11-20"'}, "on is no date"),
    ({"on": "2026-11-20T08:00:00Z"}, "on is no date"),
    ({"rule": "16"}, "rule is a text"),
    ({"assets": '"C1"'}, "assets is no list of tags"),
    ({"spec": "", "assets": ""}, "it names neither spec nor assets"),
    ({"aproved_by": '"X"'}, "Did you mean approved_by"),
]


@pytest.mark.parametrize(("changed", "words"), FLAWS, ids=[words for _, words in FLAWS])
def test_with_a_flaw_it_covers_nothing_and_says_why(changed: dict[str, str], words: str) -> None:
    found = read_waivers(file_of({**SOUND, **changed}), "waivers.toml")
    assert found.approvals == ()
    assert any("approval A-01" in str(one) and words in str(one) for one in found.faults), found.faults
    assert all(one.line == 2 for one in found.faults)


@pytest.mark.parametrize("raw", ["approval = 1\n", '[approval]\n"A-01" = 3\n'])
def test_what_is_no_table_is_named(raw: str) -> None:
    found = read_waivers(f"format = 1\n{raw}".encode(), "waivers.toml")
    assert found.approvals == () and "no table" in str(found.faults[0])

"""What a new firmware's list defines otherwise is told where readings are compared, and of two files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from tests.cli.drive_side import MODELS
from tests.conftest import Ran, run_in

LIST = (MODELS / "merrow-m4.toml").read_text(encoding="utf-8")
RENAMED = ('text = "Up A"', 'text = "Rise A"')
RANGE = ('key = "ramps.accel_time_1_s"\nrange = ["0.1", "3600.0"]', 'key = "ramps.accel_time_1_s"\nrange = ["0.1", "600.0"]')  # fmt: skip
CHOICE = ('["runs on", "continue"]', '["runs on", "stop"]')
NEWER = ('firmware = ["2.0", "2.9"]', 'firmware = ["3.0", "3.9"]')


def changed(*pairs: tuple[str, str]) -> str:
    text = LIST
    for old, new in pairs:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def at_site(site: Path, name: str, text: str) -> str:
    (site / name).write_text(text, encoding="utf-8", newline="\n")
    return name


SAID = [
    ((RENAMED,), "Rise A in 4 Speed/4.3 Ramps was Up A in 4 Speed/4.3 Ramps."),
    ((RANGE,), "takes 0.1 to 600.0 s in steps of 0.1; before, 0.1 to 3600.0 s in steps of 0.1."),
    ((CHOICE,), "choice 1 is runs on now, and was runs on."),
    ((NEWER, RENAMED), "Firmware 2.0 to 2.9 before, 3.0 to 3.9 now."),
]


@pytest.mark.parametrize(("pairs", "says"), SAID, ids=["renamed", "range", "choice", "firmware"])
def test_two_model_files_are_told_apart(
    own_demo: Path, pairs: tuple[tuple[str, str], ...], says: str
) -> None:
    done = run_in(
        own_demo, "model", "changes", "models/merrow-m4.toml", at_site(own_demo, "new.toml", changed(*pairs))
    )
    assert done.code == 1 and says in done.out


def test_the_same_list_twice_changes_nothing(demo: Callable[..., Ran]) -> None:
    done = demo("model", "changes", "models/merrow-m4.toml", "models/merrow-m4.toml")
    assert done.code == 0 and done.out.startswith("The two lists define the same")


def test_what_one_size_alone_has_is_told_of_that_size(own_demo: Path) -> None:
    lines = LIST.split("\n")
    place = next(n for n, line in enumerate(lines) if line.startswith("[sizes.18k5.factory]"))
    native_id, _, factory = lines[place + 1].partition(" = ")
    text = "\n".join([*lines[: place + 1], f'{native_id} = "1.0"', *lines[place + 2 :]])
    new = at_site(own_demo, "new.toml", text)
    told = run_in(own_demo, "model", "changes", "models/merrow-m4.toml", new, "--format", "json").data
    assert [(row["id"], row["kind"], row["size"]) for row in told["changes"]] == [
        (native_id.strip('"'), "factory", "18k5")
    ]
    assert factory.strip('"') in told["changes"][0]["words"]


def test_two_full_names_are_two_lists_and_two_drives_have_none_in_common(demo: Callable[..., Ran]) -> None:
    told = demo("model", "changes", "merrow-m4-15k", "merrow-m4-18k5", "--format", "json").data
    assert {row["kind"] for row in told["changes"]} == {"factory"}
    only = demo("model", "changes", "merrow-m4-15k", "models/none.toml")
    assert only.code == 2 and "cannot be read" in only.err


def test_a_model_file_changed_since_the_record_is_said_in_diff_and_compare(own_demo: Path) -> None:
    at_site(own_demo, "models/merrow-m4.toml", changed(RENAMED))
    for command in ("diff", "compare"):
        told = run_in(own_demo, command, "F1", "units/f1-same.toml", "--no-behaviour")
        assert "The model file of merrow-m4-18k5 has changed between the two readings" in told.out
        assert "3610sub1 Rise A in 4 Speed/4.3 Ramps was Up A" in told.out
    assert "Definitions that changed" not in run_in(own_demo, "diff", "F1", "F1~1", "--no-behaviour").out


def test_a_firmware_beyond_the_list_names_the_list_that_has_it_and_what_it_changes(own_demo: Path) -> None:
    unit = (own_demo / "units" / "f1-same.toml").read_text(encoding="utf-8")
    at_site(own_demo, "units/new.toml", unit.replace('firmware = "2.4"', 'firmware = "3.1"'))
    alone = run_in(own_demo, "diff", "F1", "units/new.toml", "--no-behaviour").out
    assert "its list is true for firmware 2.0 to 2.9, and the reading has 3.1" in alone
    newer = changed(('name = "merrow-m4"', 'name = "merrow-m4-v3"'), NEWER, RENAMED)
    at_site(own_demo, "models/merrow-m4-v3.toml", newer)
    for command in ("diff", "compare"):
        told = run_in(own_demo, command, "F1", "units/new.toml", "--no-behaviour", "--format", "json").data
        assert any(
            "merrow-m4-v3-18k5 is the list of firmware 3.1" in note for note in told["definitions"]["notes"]
        )
        assert [(row["id"], row["kind"]) for row in told["definitions"]["changes"]] == [
            ("3610sub1", "renamed")
        ]

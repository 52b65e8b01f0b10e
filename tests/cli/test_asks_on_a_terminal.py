"""What is asked of a person on a terminal: columns of a table, and rows of a list."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

from asleft.models import read_model

pexpect = pytest.importorskip("pexpect", reason="a terminal to type at is a POSIX thing")
if not hasattr(pexpect, "spawn"):
    pytest.skip("a terminal to type at is a POSIX thing", allow_module_level=True)

ROWS = (
    "No.;Name;Unit;Min;Max;Default\n"
    "1;Acceleration time 1;s;0.1;600.0;5.0\n"
    "2;Slowness of start;s;0.1;600.0;5.0\n"
    "3;Motor current limit;%;10;200;150\n"
    "4;Mystery;;0;9;1\n"
)


def _typed(site: Path, *line: str) -> Any:
    return pexpect.spawn(
        sys.executable, ["-m", "asleft", *line], cwd=str(site), encoding="utf-8", timeout=60, echo=False,
        dimensions=(40, 160),
    )  # fmt: skip


def test_rows_that_are_unsure_are_asked_one_by_one(own_demo: Path) -> None:
    (own_demo / "list.csv").write_text(ROWS, encoding="utf-8")
    at = _typed(own_demo, "model", "import", "list.csv", "--name", "asked")
    answers = {"2": "ramps.decel_time_1_s", "3": "control.current_limit_a:motor_current", "4": "-"}
    for row, answer in answers.items():
        at.expect(rf"{row} \w.*Enter to leave it: ")
        at.sendline(answer)
    at.expect("to decide")
    at.expect(pexpect.EOF)
    at.close()
    assert at.exitstatus == 0
    model = read_model((own_demo / "models/asked.toml").read_bytes(), "asked").size("one")
    keys = {id_: native.keys for id_, native in model.natives.items()}
    assert keys == {
        "1": ("ramps.accel_time_1_s",),
        "2": ("ramps.decel_time_1_s",),
        "3": ("control.current_limit_a",),
        "4": (),
    }
    assert model.natives["3"].base == "motor_current"


@pytest.mark.parametrize(("answer", "code"), [("y", 0), ("n", 2)])
def test_guessed_columns_are_confirmed(own_demo: Path, answer: str, code: int) -> None:
    rows = "Entry;Setting\n3010sub3;28,5\n3610sub1;8,0\n3610sub2;12,0\n"
    (own_demo / "export.csv").write_text(rows, encoding="utf-8")
    at = _typed(
        own_demo, "snapshot", "E1", "--from", "export.csv", "--reading", "as-found", "--occasion", "service",
        "--by", "R. Example",
    )  # fmt: skip
    at.expect("Read it so.*value = column B")
    at.expect(r"\[Y/n\]")
    at.sendline(answer)
    at.expect(pexpect.EOF)
    at.close()
    assert at.exitstatus == code, at.before
    assert ("[columns]" in (own_demo / "site.toml").read_text(encoding="utf-8")) is (code == 0)

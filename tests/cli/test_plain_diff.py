"""A plain diff is answered without the command line library, and answers the same."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.conftest import run_in

A = 'format = 1\n[ramps]\naccel_time_1_s = 8.0\n[protection]\nexternal_fault_reaction = "fault_coast"\n'


def test_the_plain_form_answers_as_the_full_one(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(A, encoding="utf-8", newline="\n")
    (tmp_path / "b.toml").write_text(A.replace("8.0", "6.5"), encoding="utf-8", newline="\n")
    plain = run_in(tmp_path, "diff", "a.toml", "b.toml")
    full = run_in(tmp_path, "diff", "a.toml", "b.toml", "--format", "text")
    assert (plain.code, plain.out) == (full.code, full.out)
    assert plain.code == 1
    wrong = run_in(tmp_path, "diff", "a.toml", "nope.toml")
    assert wrong.code == 2
    assert "cannot be read" in wrong.err


def test_the_plain_form_loads_no_command_line_library(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(A, encoding="utf-8", newline="\n")
    code = (
        "import sys; from asleft.cli.session import Session; from asleft.cli.start import main;"
        "main(['diff', 'a.toml', 'a.toml'], Session()); sys.exit('typer' in sys.modules or 'git' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, check=False, capture_output=True)
    assert done.returncode == 0

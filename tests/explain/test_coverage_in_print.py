"""The table of computed effects in DEVELOPERS.md is the one the command prints."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_the_printed_table_is_what_the_command_gives() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "asleft.explain.coverage"], capture_output=True, check=True, encoding="utf-8"
    )
    printed = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert done.stdout.strip() in printed

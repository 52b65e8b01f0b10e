"""Sets up a private environment and runs one thing in it: ``demo``, ``test`` or ``cover``.

Needs Python 3.11 or later and git, nothing else; works on Windows, Linux and macOS. Everything it installs
lies in ``.venv`` beside this repository's files.

    python .ci/with_env.py demo [DIR]     the demo site, built and walked through
    python .ci/with_env.py test [ARGS]    linters, type check, layers and all tests; ARGS go to pytest
    python .ci/with_env.py cover [ARGS]   all tests under branch coverage, which takes twice as long
"""

from __future__ import annotations

import os
import subprocess
import sys
import venv
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
HOME = TOP / ".venv"
BIN = HOME / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")

CHECKS = (("ruff", "check", "."), ("ruff", "format", "--check", "."), ("mypy",), ("lint-imports",))
# One worker more than cores: tests wait for git and for terminals.
TESTS = ("pytest", "-n", str((os.cpu_count() or 1) + 1), "--dist", "worksteal")


def main(arguments: list[str]) -> int:
    """Run what is asked for; the exit code."""
    if sys.version_info < (3, 11):
        print("asleft needs Python 3.11 or later.", file=sys.stderr)
        return 2
    if arguments[:1] == ["demo"]:
        set_up("")
        done = subprocess.run([PYTHON, "-m", "asleft", "demo", *arguments[1:]], check=False)
        return done.returncode
    if arguments[:1] == ["test"]:
        set_up("[dev]")
        return run(*CHECKS, (*TESTS, *arguments[1:]))
    if arguments[:1] == ["cover"]:
        set_up("[dev]")
        return run((*TESTS, "--cov", "--cov-report=term:skip-covered", *arguments[1:]))
    print(__doc__, file=sys.stderr)
    return 2


def set_up(extra: str) -> None:
    """Make the environment where it is missing, and bring it up to what pyproject.toml asks for."""
    if not PYTHON.exists():
        venv.create(HOME, with_pip=True)
    install = [PYTHON, "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    subprocess.run([*install, "--editable", f"{TOP}{extra}"], check=True)


def run(*steps: tuple[str, ...]) -> int:
    """Every step, whatever the one before said; non-zero if any failed."""
    failed = []
    for step in steps:
        print(f"== {' '.join(step)}", flush=True)
        command = [BIN / "lint-imports"] if step[0] == "lint-imports" else [PYTHON, "-m", *step]
        if subprocess.run(command, cwd=TOP, check=False).returncode:
            failed.append(" ".join(step[:2]))
    if failed:
        print(f"failed: {', '.join(failed)}", flush=True)
    return int(bool(failed))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

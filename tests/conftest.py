"""What every test may use: a demo site built once, and a command line that runs in a folder."""

from __future__ import annotations

import gc
import io
import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from asleft.cli.session import Session
from asleft.cli.start import main


def pytest_collection_finish() -> None:
    """Thousands of collected tests are no garbage: looking through them again and again takes a tenth."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


def examples(long: int, short: int) -> int:
    """How many examples a property gets: the long form is chosen with ASLEFT_LONG=1."""
    return long if os.environ.get("ASLEFT_LONG") == "1" else short


settings.register_profile(
    "house",
    deadline=None,
    derandomize=True,
    max_examples=examples(200, 25),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("house")


@pytest.fixture(autouse=True, scope="session")
def _own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test touches the real home or its git configuration."""
    home = tmp_path_factory.mktemp("home")
    (home / ".gitconfig").write_text(
        '[user]\n\tname = "T. Example"\n\temail = t@example.com\n', encoding="utf-8"
    )
    before = dict(os.environ)
    os.environ.update({"HOME": str(home), "USERPROFILE": str(home), "XDG_CONFIG_HOME": str(home / ".config")})
    for name in [name for name in os.environ if name.startswith("GIT_") or name == "ASLEFT_SITE"]:
        del os.environ[name]
    yield
    os.environ.clear()
    os.environ.update(before)


@dataclass(frozen=True)
class Ran:
    """What one command line gave."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """Its standard output as JSON."""
        return json.loads(self.out)


Run = Callable[..., Ran]


def run_in(folder: Path, *arguments: str) -> Ran:
    """Run one command line in a folder, in this process."""
    out, err = io.StringIO(), io.StringIO()
    code = main(arguments, Session(folder=folder, out=out, err=err))
    return Ran(code, out.getvalue(), err.getvalue())


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo site, built once, its objects in one pack, which is copied sooner; for reading only."""
    site = tmp_path_factory.mktemp("demo") / "site"
    done = run_in(site.parent, "demo", "site", "--build-only")
    assert done.code == 0, done.err
    subprocess.run(["git", "repack", "-adq"], cwd=site, check=True)
    return site


@pytest.fixture
def demo(built_demo: Path) -> Run:
    """Runs a command line in the demo site, which it must not change."""
    return lambda *arguments: run_in(built_demo, *arguments)


@pytest.fixture
def own_demo(built_demo: Path, tmp_path: Path) -> Path:
    """A copy of the demo site, free to change."""
    site = tmp_path / "site"
    shutil.copytree(built_demo, site, symlinks=True)
    return site


@pytest.fixture
def in_own_demo(own_demo: Path) -> Run:
    """Runs a command line in a copy of the demo site."""
    return lambda *arguments: run_in(own_demo, *arguments)

"""A site in a real git repository, apart from the configuration of whoever runs the tests."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from a_site import AT, LEFT, record

from asleft.store import Git, Store, create


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """The machine's environment with a git configuration of its own."""
    config = tmp_path / "gitconfig"
    config.write_text("[user]\n\tname = Git User\n\temail = git@site.example\n", encoding="utf-8")
    kept = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    return {**kept, "GIT_CONFIG_GLOBAL": str(config), "GIT_CONFIG_NOSYSTEM": "1"}


@pytest.fixture
def git(env: dict[str, str]) -> Git:
    return Git(env)


@pytest.fixture
def site(tmp_path: Path, git: Git) -> Store:
    """A site that holds site.toml and one reading."""
    files = {"site.toml": b'name = "Mill"\n'}
    store = create(tmp_path / "site", files, git, author_name="R. Example", author_email="", at=AT)
    record(store, {LEFT: b"v = 1\n"})
    return store


@pytest.fixture
def plain_git(site: Store, env: dict[str, str]) -> Callable[..., str]:
    """git as a person runs it in the site, with all it would run."""

    def run(*args: str, stdin: str | None = None, check: bool = True) -> str:
        done = subprocess.run(
            ["git", *args],
            cwd=site.top,
            env=env,
            input=stdin,
            capture_output=True,
            encoding="utf-8",
            timeout=60,
            check=False,
        )
        assert not check or done.returncode == 0, done.stderr
        return done.stdout

    return run

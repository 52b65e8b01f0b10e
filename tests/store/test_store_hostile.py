"""A repository somebody sent runs nothing through the store."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from a_site import LEFT, record

from asleft.store import Store, StoreError, find

PlainGit = Callable[..., str]
HOOKS = ("pre-commit", "commit-msg", "post-commit", "reference-transaction", "post-index-change")
Trap = Callable[[Store, PlainGit, Path], None]
SIGNATURE = "gpgsig -----BEGIN PGP SIGNATURE-----\n x\n -----END PGP SIGNATURE-----"


@pytest.fixture
def marker(tmp_path: Path) -> Path:
    return tmp_path / "ran"


@pytest.fixture
def program(tmp_path: Path, marker: Path) -> Path:
    """A program that leaves a mark and ends."""
    path = tmp_path / "program"
    path.write_text(
        f"#!{sys.executable}\nimport sys\nopen({str(marker)!r}, 'a').write(' '.join(sys.argv) + '\\n')\n",
        encoding="utf-8",
    )
    path.chmod(0o755)
    return path


def set_all(git: PlainGit, program: Path, *keys: str) -> None:
    for key in keys:
        git("config", key, str(program))


def hooks(site: Store, git: PlainGit, program: Path) -> None:
    folder = site.place.git_dir / "hooks"
    folder.mkdir(exist_ok=True)
    for name in HOOKS:
        (folder / name).symlink_to(program)


def hooks_elsewhere(site: Store, git: PlainGit, program: Path) -> None:
    hooks(site, git, program)
    (site.place.git_dir / "hooks").rename(site.place.git_dir / "moved")
    git("config", "core.hooksPath", str(site.place.git_dir / "moved"))


def filters(site: Store, git: PlainGit, program: Path) -> None:
    set_all(git, program, "filter.evil.clean", "filter.evil.smudge", "filter.evil.process")
    (site.place.git_dir / "info").mkdir(exist_ok=True)
    (site.place.git_dir / "info" / "attributes").write_text("* filter=evil\n", encoding="utf-8")


def fsmonitor(site: Store, git: PlainGit, program: Path) -> None:
    set_all(git, program, "core.fsmonitor")


def textconv(site: Store, git: PlainGit, program: Path) -> None:
    set_all(git, program, "diff.evil.textconv")
    (site.place.git_dir / "info").mkdir(exist_ok=True)
    (site.place.git_dir / "info" / "attributes").write_text("* diff=evil\n", encoding="utf-8")


def external_diff(site: Store, git: PlainGit, program: Path) -> None:
    set_all(git, program, "diff.external")


def signer(site: Store, git: PlainGit, program: Path) -> None:
    set_all(git, program, "gpg.program", "gpg.openpgp.program", "gpg.ssh.program")
    git("config", "commit.gpgsign", "true")


def shown_signatures(site: Store, git: PlainGit, program: Path) -> None:
    raw = git("cat-file", "commit", "HEAD")
    signed = raw.replace("\n\n", f"\n{SIGNATURE}\n\n", 1)
    made = git("hash-object", "-t", "commit", "-w", "--stdin", stdin=signed).strip()
    git("update-ref", "HEAD", made)
    set_all(git, program, "gpg.program")
    git("config", "log.showSignature", "true")


def lazy_fetch(site: Store, git: PlainGit, program: Path) -> None:
    """A partial clone gets what it lacks by the repository's own ssh command."""
    blob = git("rev-parse", f"HEAD:{LEFT}").strip()
    (site.place.common / "objects" / blob[:2] / blob[2:]).unlink()
    set_all(git, program, "core.sshCommand")
    for key, value in (
        ("core.repositoryFormatVersion", "1"),
        ("extensions.partialClone", "origin"),
        ("remote.origin.promisor", "true"),
        ("remote.origin.url", "ssh://nowhere.example/x"),
        ("protocol.ssh.allow", "always"),
    ):
        git("config", key, value)


CASES = {
    hooks: ["commit", "-q", "--allow-empty", "-m", "x"],
    hooks_elsewhere: ["commit", "-q", "--allow-empty", "-m", "x"],
    filters: ["add", "--renormalize", "."],
    fsmonitor: ["status"],
    textconv: ["show", "HEAD"],
    external_diff: ["diff", "HEAD~1"],
    signer: ["commit", "-q", "--allow-empty", "-m", "x"],
    shown_signatures: ["log"],
    lazy_fetch: ["cat-file", "-p", f"HEAD:{LEFT}"],
}


def use_everything(site: Store) -> None:
    """Every public call, each on its own: a refusal is an answer too."""

    def verify() -> object:
        return site.verify(lambda path, data: [])

    calls: list[Callable[[], object]] = [
        lambda: find(site.top, site.place.git),
        site.heal,
        site.head,
        lambda: site.read(LEFT),
        lambda: site.blob_id(LEFT),
        site.paths,
        lambda: site.history([LEFT]),
        lambda: site.changed("HEAD~1"),
        site.working_differs,
        lambda: record(site, {LEFT: b"v = 2\n", "assets/E2/as_left.toml": b"1\n"}),
        lambda: record(site, {LEFT: None}),
        verify,
        site.remotes,
        lambda: site.setting("core", "bare"),
        site.upkeep,
    ]
    for call in calls:
        try:
            call()
        except StoreError:
            continue


@pytest.mark.parametrize("trap", CASES, ids=lambda trap: trap.__name__)
def test_nothing_a_repository_configures_is_run(
    site: Store,
    plain_git: PlainGit,
    marker: Path,
    program: Path,
    trap: Trap,
) -> None:
    trap(site, plain_git, program)
    marker.unlink(missing_ok=True)
    use_everything(site)
    assert not marker.exists(), marker.read_text(encoding="utf-8")


@pytest.mark.parametrize("trap", CASES, ids=lambda trap: trap.__name__)
def test_each_trap_works_on_git_itself(
    site: Store,
    plain_git: PlainGit,
    marker: Path,
    program: Path,
    trap: Trap,
) -> None:
    """Else the test above could not fail."""
    trap(site, plain_git, program)
    marker.unlink(missing_ok=True)
    plain_git(*CASES[trap], check=False)
    assert marker.exists()

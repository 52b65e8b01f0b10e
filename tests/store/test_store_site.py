"""Starting a site and finding it again, and the places that are none."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from a_site import AT, LEFT

from asleft.store import (
    AlreadySite,
    Busy,
    Done,
    EditedByHand,
    ForeignRepository,
    Git,
    GitTooOld,
    NoGit,
    NoSite,
    Steps,
    Store,
    StoreError,
    create,
    find,
)
from asleft.store.runner import explain

FILES = {"site.toml": b'name = "Mill"\n'}


def start(folder: Path, git: Git) -> Store:
    return create(folder, FILES, git, author_name="R. Example", author_email="r@site.example", at=AT)


def plain_init(folder: Path, git: Git, *then: list[str]) -> None:
    folder.mkdir(parents=True)
    for args in (["init", "-q"], *then):
        subprocess.run(["git", *args], cwd=folder, env=dict(git.env), check=True)


@pytest.mark.parametrize("start_at", ["", "assets", "assets/E1", LEFT])
def test_a_site_is_found_from_anywhere_in_it(site: Store, start_at: str) -> None:
    found = find(site.top / start_at, site.place.git)
    assert found.top.samefile(site.top)
    assert found.head() == site.head()


def test_the_first_commit_holds_the_site_and_how_git_treats_it(tmp_path: Path, git: Git) -> None:
    (tmp_path / "s").mkdir()
    (tmp_path / "s" / "photo.jpg").write_bytes(b"kept")
    store = start(tmp_path / "s", git)
    assert store.read(".gitattributes") == b"*.toml -text\n"
    assert sorted(store.paths()) == [".gitattributes", "site.toml"]
    assert (tmp_path / "s" / "photo.jpg").read_bytes() == b"kept"
    assert len(store.history(())) == 1


def test_an_interrupted_start_is_taken_up_again(tmp_path: Path, git: Git) -> None:
    plain_init(tmp_path / "s", git)
    (tmp_path / "s" / "site.toml").write_bytes(FILES["site.toml"])
    with pytest.raises(NoSite, match="not finished"):
        find(tmp_path / "s", git)
    assert find(start(tmp_path / "s", git).top, git).working_differs() == []


def test_a_start_does_not_overwrite_a_file_that_stands_there(tmp_path: Path, git: Git) -> None:
    (tmp_path / "s").mkdir()
    (tmp_path / "s" / "site.toml").write_bytes(b"mine = 1\n")
    with pytest.raises(EditedByHand):
        start(tmp_path / "s", git)
    assert (tmp_path / "s" / "site.toml").read_bytes() == b"mine = 1\n"


def test_a_site_is_started_once(site: Store) -> None:
    with pytest.raises(AlreadySite):
        start(site.top, site.place.git)
    assert len(site.history(())) == 2


def test_a_start_inside_another_repository_says_which(tmp_path: Path, git: Git) -> None:
    plain_init(tmp_path / "other", git)
    with pytest.raises(ForeignRepository, match="other"):
        start(tmp_path / "other" / "deep" / "site", git)
    assert not (tmp_path / "other" / "deep").exists()


def test_a_start_on_a_history_of_something_else_is_refused(tmp_path: Path, git: Git) -> None:
    plain_init(tmp_path / "other", git, ["commit", "-q", "--allow-empty", "-m", "other"])
    with pytest.raises(ForeignRepository, match="something else"):
        start(tmp_path / "other", git)


def test_a_site_file_inside_another_repository_is_no_site(tmp_path: Path, git: Git) -> None:
    plain_init(tmp_path / "other", git)
    (tmp_path / "other" / "demo").mkdir()
    (tmp_path / "other" / "demo" / "site.toml").write_bytes(b"")
    with pytest.raises(ForeignRepository, match="other"):
        find(tmp_path / "other" / "demo", git)


def test_no_site_at_all_says_what_to_do(tmp_path: Path, git: Git) -> None:
    with pytest.raises(NoSite) as refused:
        find(tmp_path, git)
    assert "asleft init" in refused.value.do_next
    (tmp_path / "site.toml").write_bytes(b"")
    with pytest.raises(NoSite):
        find(tmp_path, git)


def test_a_work_tree_led_elsewhere_by_the_configuration_is_refused(
    site: Store, tmp_path: Path, plain_git: Callable[..., str]
) -> None:
    (tmp_path / "elsewhere").mkdir()
    plain_git("config", "core.worktree", str(tmp_path / "elsewhere"))
    with pytest.raises(StoreError):
        find(site.top, site.place.git)


def test_a_caller_inside_a_git_hook_does_not_lead_the_store_astray(
    site: Store, tmp_path: Path, git: Git
) -> None:
    """git sets GIT_DIR and GIT_INDEX_FILE for what it runs; they name the outer repository."""
    plain_init(tmp_path / "outer", git)
    names = {"GIT_DIR": str(tmp_path / "outer" / ".git"), "GIT_INDEX_FILE": str(tmp_path / "index")}
    inside = Git({**git.env, **names, "GIT_WORK_TREE": str(tmp_path / "outer")})
    assert find(site.top, inside).head() == site.head()
    assert start(tmp_path / "new", inside).working_differs() == []
    assert not (tmp_path / "index").exists()


class Says(Steps):
    """A git that answers every call alike."""

    def __init__(self, code: int, out: bytes = b"", err: bytes = b"") -> None:
        self.done = Done(code, out, err)

    def call(self, *_args: object) -> Done:
        return self.done


def test_git_before_2_36_does_not_flush_and_is_refused(tmp_path: Path, env: dict[str, str]) -> None:
    """core.fsync came with git 2.36 (its release notes)."""
    with pytest.raises(GitTooOld, match=r"2\.35"):
        start(tmp_path / "s", Git(env, steps=Says(0, b"git version 2.35.9")))
    assert not (tmp_path / "s").exists()
    Git(env, steps=Says(0, b"git version 2.36.0.windows.1")).require_new_enough(tmp_path)
    Git(env, steps=Says(0, b"git version 10.0")).require_new_enough(tmp_path)


def test_git_is_looked_for_on_the_path_only(
    site: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program named git in the current folder is not git."""
    false_git = site.top / "git"
    false_git.write_text("#!/bin/sh\necho fooled\n", encoding="utf-8")
    false_git.chmod(0o755)
    monkeypatch.chdir(site.top)
    with pytest.raises(NoGit):
        find(site.top, Git({**site.place.git.env, "PATH": f".{':'}{tmp_path}"}))


def test_a_git_that_hangs_is_ended(site: Store, tmp_path: Path) -> None:
    slow = tmp_path / "git"
    slow.write_text("#!/bin/sh\nexec sleep 60\n", encoding="utf-8")
    slow.chmod(0o755)
    path = f"{tmp_path}:{site.place.git.env['PATH']}"
    with pytest.raises(Busy, match=r"0\.2 s"):
        find(site.top, Git({**site.place.git.env, "PATH": path}, seconds=0.2))


@pytest.mark.parametrize(
    ("said", "kind", "code", "next_words"),
    [
        ("fatal: detected dubious ownership in repository at '/x'", "ForeignRepository", 2, "safe.directory"),
        ("fatal: not a git repository (or any of the parent directories)", "NoSite", 2, "asleft init"),
        ("error: file write error: No space left on device", "NotRecorded", 2, "Free some space"),
        ("fatal: Not a valid object name nonsense", "NotInRecord", 2, "asleft history"),
        ("fatal: Unable to create '/x/HEAD.lock': File exists.", "Busy", 5, ".lock"),
        ("fatal: loose object 12ab (stored in .git/objects) is corrupt", "Damaged", 4, "asleft verify"),
        ("fatal: something nobody has seen", "GitFailed", 3, "asleft verify"),
    ],
)
def test_refusals_of_git_in_words_a_person_can_act_on(
    tmp_path: Path, said: str, kind: str, code: int, next_words: str
) -> None:
    """The words are git's own (2.39)."""
    error = explain(Done(128, b"", said.encode()), "log", tmp_path)
    assert (type(error).__name__, error.exit_code) == (kind, code)
    assert next_words in error.do_next

"""What a write leaves, told by git itself and by GitPython; and what it refuses."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import git as gitpython
import pytest
from a_site import AT, LEFT, RECORDED, record
from filelock import FileLock

from asleft.store import (
    BadText,
    Busy,
    CannotWriteNow,
    Done,
    EditedByHand,
    Git,
    Overtaken,
    Steps,
    Store,
    create,
    find,
)

PlainGit = Callable[..., str]


def test_another_reader_finds_what_was_written(site: Store) -> None:
    """GitPython, which reads objects by itself, sees bytes, author, times and trailers as given."""
    trailers = (("Asset", "E1"), ("Reason", "Ramp für Förderband"), ("Work-order", "4711"))
    made = record(site, {LEFT: b"v = 2\r\n"}, "E1 as left", trailers, body="Two lines\nof words")
    commit = gitpython.Repo(site.top).head.commit
    assert commit.hexsha == made
    assert (commit.tree / LEFT).data_stream.read() == b"v = 2\r\n"
    assert (commit.author.name, commit.author.email) == ("R. Example", "r@site.example")
    assert commit.authored_datetime == AT and commit.authored_datetime.utcoffset() == AT.utcoffset()
    assert commit.committed_datetime == RECORDED
    assert commit.trailers_list == list(trailers)
    assert commit.message.startswith("E1 as left\n\nTwo lines\nof words\n\n")


def test_git_shows_a_clean_site_afterwards(site: Store, plain_git: PlainGit) -> None:
    record(site, {LEFT: b"v = 2\n", "assets/E2/as_left.toml": b"v = 3\n", "site.toml": b"n = 1\n"})
    assert plain_git("status", "--porcelain") == ""
    assert plain_git("fsck", "--full", "--strict", "--no-dangling") == ""
    assert list((site.private / "pending").iterdir()) == []


def test_bytes_are_kept_where_git_would_turn_line_ends(tmp_path: Path, git: Git) -> None:
    """As on Windows, where git is set to turn line ends (core.autocrlf)."""
    with Path(git.env["GIT_CONFIG_GLOBAL"]).open("a", encoding="utf-8") as config:
        config.write("[core]\n\tautocrlf = true\n")
    store = create(tmp_path / "s", {"site.toml": b"a\r\nb\n"}, git, author_name="R", author_email="", at=AT)
    assert store.read("site.toml") == b"a\r\nb\n" == (store.top / "site.toml").read_bytes()
    assert store.working_differs() == []


def test_the_same_again_is_no_commit(site: Store) -> None:
    head = site.head()
    assert record(site, {LEFT: b"v = 1\n"}) is None
    assert site.head() == head


def test_taking_the_last_file_out_takes_the_folder_along(site: Store) -> None:
    record(site, {LEFT: None})
    assert sorted(site.paths()) == [".gitattributes", "site.toml"]
    assert not (site.top / "assets").exists()


def test_what_stands_beside_is_kept_as_it_is(site: Store, plain_git: PlainGit) -> None:
    """Modes, foreign kinds of entry and staged files of others survive a write in the same folder."""
    blob = plain_git("rev-parse", f"HEAD:{LEFT}").strip()
    plain_git("update-index", "--add", "--cacheinfo", f"100755,{blob},assets/E1/run.toml")
    plain_git("update-index", "--add", "--cacheinfo", f"120000,{blob},assets/E1/link")
    plain_git("update-index", "--add", "--cacheinfo", f"160000,{site.head()},assets/E1/module")
    plain_git("commit", "-q", "-m", "others")
    before = plain_git("ls-tree", "-r", "HEAD")
    plain_git("update-index", "--add", "--cacheinfo", f"100644,{blob},staged.toml")
    record(site, {"assets/E1/as_found.toml": b"v = 5\n"})
    after = plain_git("ls-tree", "-r", "HEAD").splitlines()
    assert [line for line in after if "as_found" not in line] == before.splitlines()
    assert plain_git("diff", "--cached", "--name-status") == "A\tstaged.toml\n"


def edit_working(site: Store, _git: PlainGit) -> None:
    (site.top / LEFT).write_bytes(b"v = 99\n")


def edit_staged(site: Store, git: PlainGit) -> None:
    (site.top / LEFT).write_bytes(b"v = 99\n")
    git("add", LEFT)
    (site.top / LEFT).write_bytes(b"v = 1\n")


def edit_back_to_older(site: Store, git: PlainGit) -> None:
    record(site, {LEFT: b"v = 2\n"})
    (site.top / LEFT).write_bytes(b"v = 1\n")


def edit_removed(site: Store, _git: PlainGit) -> None:
    (site.top / LEFT).unlink()


def edit_folder_in_the_way(site: Store, _git: PlainGit) -> None:
    (site.top / LEFT).unlink()
    (site.top / LEFT).mkdir()


def edit_link_out_of_the_site(site: Store, _git: PlainGit) -> None:
    outside = site.top.parent / "outside"
    (site.top / "assets").rename(outside)
    (site.top / "assets").symlink_to(outside, target_is_directory=True)


@pytest.mark.parametrize(
    "edit",
    [
        edit_working,
        edit_staged,
        edit_back_to_older,
        edit_removed,
        edit_folder_in_the_way,
        edit_link_out_of_the_site,
    ],
)
def test_an_edit_by_hand_is_named_and_not_lost(
    site: Store, plain_git: PlainGit, edit: Callable[[Store, PlainGit], None]
) -> None:
    edit(site, plain_git)
    head, status = site.head(), plain_git("status", "--porcelain")
    with pytest.raises(EditedByHand) as refused:
        record(site, {LEFT: b"v = 3\n"})
    assert refused.value.files == (LEFT,)
    assert (site.head(), plain_git("status", "--porcelain")) == (head, status)
    assert site.heal() == []


def test_an_edit_that_says_what_is_recorded_is_no_obstacle(site: Store, plain_git: PlainGit) -> None:
    (site.top / LEFT).write_bytes(b"v = 3\n")
    assert record(site, {LEFT: b"v = 3\n"})
    assert plain_git("status", "--porcelain") == ""


def test_what_the_caller_read_is_held_against_the_record(site: Store) -> None:
    read = site.blob_id(LEFT)
    record(site, {LEFT: b"v = 2\n"}, expect={LEFT: read, "assets/E9/as_left.toml": None})
    with pytest.raises(Overtaken) as refused:
        record(site, {LEFT: b"v = 3\n"}, expect={LEFT: read})
    assert refused.value.exit_code == 5
    assert site.read(LEFT) == b"v = 2\n" == (site.top / LEFT).read_bytes()


class Meanwhile(Steps):
    """Has somebody commit with git itself just before the branch is moved."""

    def __init__(self, commit: Callable[[], object]) -> None:
        self.commit = commit

    def call(self, command, folder, env, stdin, seconds) -> Done:  # type: ignore[no-untyped-def]
        if "update-ref" in command:
            self.commit()
        return super().call(command, folder, env, stdin, seconds)


def test_a_commit_made_meanwhile_is_not_overwritten(site: Store, plain_git: PlainGit) -> None:
    steps = Meanwhile(lambda: plain_git("commit", "-q", "--allow-empty", "-m", "meanwhile"))
    raced = Store(replace(site.place, git=Git(site.place.git.env, steps=steps)))
    with pytest.raises(Overtaken):
        record(raced, {LEFT: b"v = 2\n"})
    assert site.history(())[0].subject == "meanwhile"
    assert (site.top / LEFT).read_bytes() == b"v = 1\n"
    assert record(site, {LEFT: b"v = 2\n"})


def test_a_lock_held_elsewhere_is_waited_for_and_then_named(site: Store) -> None:
    with FileLock(site.place.common / "asleft" / "lock"), pytest.raises(Busy) as refused:
        record(Store(site.place, wait=0.05), {LEFT: b"v = 2\n"})
    assert refused.value.exit_code == 5
    assert record(site, {LEFT: b"v = 2\n"})


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (["checkout", "-q", "--detach"], "detached"),
        (["update-ref", "MERGE_HEAD", "HEAD"], "merge"),
        (["update-ref", "REVERT_HEAD", "HEAD"], "revert"),
        (["update-ref", "CHERRY_PICK_HEAD", "HEAD"], "cherry-pick"),
    ],
)
def test_states_no_record_can_be_added_to(
    site: Store, plain_git: PlainGit, state: list[str], words: str
) -> None:
    plain_git(*state)
    head = site.head()
    with pytest.raises(CannotWriteNow, match=words):
        record(site, {LEFT: b"v = 2\n"})
    assert site.head() == head


@pytest.mark.parametrize(
    "wrong",
    [
        {"trailers": (("Reason", "two\nAsset: E2"),)},
        {"trailers": (("Reason", "bell \x07"),)},
        {"trailers": (("Reason", "line\u2028separator"),)},
        {"trailers": (("Reason", "half a character \ud800"),)},
        {"trailers": (("Reason", "  "),)},
        {"trailers": (("reason", "a key the record does not know"),)},
        {"subject": "two\nlines"},
        {"subject": ""},
        {"trailers": (), "body": "Asset: reads as a trailer"},
        {"body": "a\x00b"},
        {"author_name": ""},
        {"author_name": "a <b>"},
        {"author_at": AT.replace(tzinfo=None)},
        {"files": {"../outside.toml": b""}},
        {"files": {"/outside.toml": b""}},
        {"files": {"assets\\E1\\as_left.toml": b""}},
        {"files": {".git/config": b""}},
        {"files": {"assets/.GIT/config": b""}},
        {"files": {"C:/x.toml": b""}},
        {"files": {"assets//x.toml": b""}},
        {"files": {"assets/e1/as_left.toml": b""}},
        {"files": {"assets/E1": b""}},
        {"files": {"site.toml/x.toml": b""}},
        {"files": {"site.toml": None, ".gitattributes": None, LEFT: None}},
    ],
    ids=repr,
)
def test_texts_and_paths_that_cannot_be_kept(site: Store, wrong: dict[str, object]) -> None:
    head = site.head()
    with pytest.raises(BadText) as refused:
        record(site, **{"files": {LEFT: b"v = 2\n"}, **wrong})  # type: ignore[arg-type]
    assert refused.value.do_next
    assert site.head() == head and site.working_differs() == []


def test_a_person_who_signs_commits_signs_readings(site: Store, tmp_path: Path, plain_git: PlainGit) -> None:
    signer = tmp_path / "signer"
    signer.write_text(
        f"#!{sys.executable}\nimport sys\nsys.stdin.read()\n"
        "sys.stderr.write('[GNUPG:] SIG_CREATED ')\n"
        "print('-----BEGIN PGP SIGNATURE-----\\nby R. Example\\n-----END PGP SIGNATURE-----')\n",
        encoding="utf-8",
    )
    signer.chmod(0o755)
    with Path(site.place.git.env["GIT_CONFIG_GLOBAL"]).open("a", encoding="utf-8") as config:
        config.write(f"[commit]\n\tgpgsign\n[gpg]\n\tprogram = {signer.as_posix()}\n")
    record(site, {LEFT: b"v = 2\n"})
    assert "gpgsig -----BEGIN PGP SIGNATURE-----\n by R. Example" in plain_git("cat-file", "-p", "HEAD")


def test_a_second_work_tree_of_the_site_writes_to_its_own_branch(
    site: Store, tmp_path: Path, plain_git: PlainGit
) -> None:
    plain_git("worktree", "add", "-q", "-b", "trial", str(tmp_path / "second"))
    head = site.head()
    second = find(tmp_path / "second" / "assets", site.place.git)
    made = record(second, {LEFT: b"v = 7\n"})
    assert (site.head(), second.head()) == (head, made)
    assert second.working_differs() == [] == site.working_differs()
    assert second.place.common.samefile(site.place.common)


def test_a_record_kept_with_the_longer_hash(tmp_path: Path, git: Git, env: dict[str, str]) -> None:
    folder = tmp_path / "long"
    folder.mkdir()
    subprocess.run(["git", "init", "-q", "--object-format=sha256"], cwd=folder, env=env, check=True)
    store = create(folder, {"site.toml": b"n = 1\n"}, git, author_name="R", author_email="", at=AT)
    assert len(record(store, {LEFT: b"v = 1\n"}) or "") == 64
    assert store.working_differs() == [] == store.verify()
    assert store.history([LEFT])[0].touched[0].before is None

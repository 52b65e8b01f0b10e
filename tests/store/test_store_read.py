"""Reading the record back, held against what git itself and GitPython say."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import git as gitpython
import pytest
from a_site import AT, LEFT, record

from asleft.store import BadText, Damaged, NotInRecord, Store
from asleft.store.message import split

PlainGit = Callable[..., str]
FOUND = "assets/E1/as_found.toml"


def test_history_of_a_path_agrees_with_git(site: Store, plain_git: PlainGit) -> None:
    for value in range(2, 6):
        record(site, {LEFT: b"v = %d\n" % value}, author_at=AT + timedelta(days=value))
        record(site, {f"assets/X{value}/as_left.toml": b"other\n"})
    record(site, {LEFT: None}, "Retired")
    commits = site.history([LEFT])
    assert [c.id for c in commits] == plain_git("log", "--format=%H", "--", LEFT).split()
    repo = gitpython.Repo(site.top)
    for commit in commits:
        outside = repo.commit(commit.id)
        assert commit.at == outside.authored_datetime
        assert commit.committed == outside.committed_datetime
        assert (commit.author, commit.email) == (outside.author.name, outside.author.email)
        assert commit.subject == outside.summary
        assert list(commit.trailers) == outside.trailers_list
        assert commit.parents == tuple(p.hexsha for p in outside.parents)
        (touched,) = commit.touched
        assert touched.path == LEFT
        held = [b.hexsha for b in outside.tree.traverse() if b.path == LEFT]
        assert held == ([touched.after] if touched.after else [])
    assert commits[0].touched[0].after is None and commits[-1].touched[0].before is None
    assert commits[1].trailer("Asset") == "E1" and commits[1].trailer("Reason") is None


def test_history_takes_folders_many_paths_and_a_limit(site: Store) -> None:
    record(site, {"assets/E2/as_left.toml": b"1\n"})
    record(site, {FOUND: b"2\n"})
    assert len(site.history(["assets/E1"])) == 2
    assert len(site.history(["assets"])) == 3
    assert len(site.history([f"assets/N{i}/as_left.toml" for i in range(5000)] + [FOUND])) == 1
    assert [c.touched[0].path for c in site.history(["assets"], limit=1)] == [FOUND]
    assert site.history(["assets/E9"]) == []


def branch_with(site: Store, git: PlainGit, data: bytes) -> None:
    git("branch", "side")
    record(site, {LEFT: b"v = 2\n"})
    git("switch", "-q", "side")
    record(site, {LEFT: data})
    git("switch", "-q", "main")


def test_both_sides_of_a_merge_stay_in_the_history(site: Store, plain_git: PlainGit) -> None:
    """Two people recorded apart and one reading was taken whole: the other is still there."""
    branch_with(site, plain_git, b"v = 3\n")
    plain_git("merge", "-q", "-s", "ours", "-m", "Merge", "side")
    contents = {site.read_blob(c.touched[0].after or "") for c in site.history([LEFT])}
    assert contents == {b"v = 1\n", b"v = 2\n", b"v = 3\n"}
    assert all(len(c.parents) < 2 for c in site.history([LEFT]))


def test_a_merge_that_wrote_something_of_its_own_is_in_the_history(site: Store, plain_git: PlainGit) -> None:
    branch_with(site, plain_git, b"v = 3\n")
    plain_git("merge", "-q", "-s", "ours", "--no-commit", "side")
    (site.top / LEFT).write_bytes(b"v = 4\n")
    plain_git("commit", "-q", "-a", "-m", "Merge with an edit")
    merge = site.history([LEFT])[0]
    assert len(merge.parents) == 2
    before, after = merge.touched[0].before, merge.touched[0].after
    assert site.read_blobs([before or "", after or ""]) == [b"v = 2\n", b"v = 4\n"]


def test_reading_at_points_in_history(site: Store) -> None:
    first = site.head()
    record(site, {LEFT: b"v = 2\n", "assets/Ä1/a b.toml": b"\x00\xff"})
    wanted = [(first, LEFT), ("HEAD", LEFT), ("HEAD~1", "assets/Ä1/a b.toml"), ("HEAD", "assets/Ä1/a b.toml")]
    assert site.read_many(wanted) == [b"v = 1\n", b"v = 2\n", None, b"\x00\xff"]
    assert site.read_many([]) == []
    assert site.read(LEFT, first) == b"v = 1\n"
    assert site.read("assets") is None
    assert site.blob_id("assets") is None and site.blob_id("assets/E7/as_left.toml") is None
    assert site.paths(under="assets").keys() == {LEFT, "assets/Ä1/a b.toml"}
    assert {t.path for t in site.changed(first)} == {LEFT, "assets/Ä1/a b.toml"}
    assert [t.path for t in site.changed(first, under="assets/E1")] == [LEFT]
    assert site.working_differs() == []
    (site.top / "assets" / "new.toml").write_bytes(b"")
    assert site.working_differs([LEFT, "assets/new.toml"]) == ["assets/new.toml"]


@pytest.mark.parametrize("at", ["nonsense", "0" * 40, "HEAD~99"])
def test_a_point_the_record_does_not_have(site: Store, at: str) -> None:
    for ask in (site.read, site.blob_id):
        with pytest.raises(NotInRecord):
            ask(LEFT, at)
    with pytest.raises(NotInRecord):
        site.history([LEFT], at)
    with pytest.raises(NotInRecord):
        site.paths(at)


@pytest.mark.parametrize("at", ["", "--output=x", "HEAD\nHEAD", "a b", "HEAD:site.toml"])
def test_what_is_no_point_at_all_is_not_given_to_git(site: Store, at: str) -> None:
    for ask in (site.read, site.blob_id):
        with pytest.raises(BadText):
            ask(LEFT, at)
    with pytest.raises(BadText):
        site.history([LEFT], at)
    with pytest.raises(BadText):
        site.read_blob(at)


def test_a_lost_object_is_damage_and_never_an_empty_answer(site: Store) -> None:
    blob = site.blob_id(LEFT) or ""
    lose(site, blob)
    assert site.read("assets/E2/as_left.toml") is None
    with pytest.raises(Damaged) as refused:
        site.read(LEFT)
    assert refused.value.exit_code == 4 and refused.value.files == (LEFT,)
    with pytest.raises(NotInRecord):
        site.read_blob(blob)


def test_a_lost_folder_is_damage_to_a_writer_too(site: Store, plain_git: PlainGit) -> None:
    """Built on as if empty, it would take every other reading of the asset out of the record."""
    lose(site, plain_git("rev-parse", "HEAD:assets/E1").strip())
    head = site.head()
    with pytest.raises(Damaged):
        record(site, {FOUND: b"v = 1\n"})
    assert site.head() == head


def lose(site: Store, object_id: str) -> None:
    path = site.place.common / "objects" / object_id[:2] / object_id[2:]
    path.chmod(0o644)
    path.unlink()


def test_a_commit_somebody_made_with_strange_times_can_be_read(site: Store, plain_git: PlainGit) -> None:
    raw = plain_git("cat-file", "commit", "HEAD").replace(" +0100\n", " +9999\n", 1)
    made = plain_git("hash-object", "-t", "commit", "-w", "--literally", "--stdin", stdin=raw).strip()
    plain_git("update-ref", "HEAD", made)
    (newest, *_rest) = site.history([LEFT])
    assert newest.id == made and newest.at.timestamp() == AT.timestamp()


@pytest.mark.parametrize(
    "text",
    [
        "Subject\n",
        "Asset: E1\n",
        "Subject\n\nAsset: E1\nReason: why not: because\n",
        "Subject\n\nBody\nReason: in the body, not at its end\n\nAsset: E1\n",
        "Subject\n\nBody only.\n",
        "Subject\n\n\n\nBody\n\n\nAsset: E1\nBy: R. Example\n\n",
    ],
)
def test_trailers_are_what_git_takes_for_trailers(text: str, plain_git: PlainGit) -> None:
    told = plain_git("interpret-trailers", "--parse", stdin=text)
    assert "".join(f"{key}: {value}\n" for key, value in split(text)[2]) == told


def test_a_large_record_is_packed_and_reads_the_same(site: Store, tmp_path: Path) -> None:
    for value in range(2, 12):
        record(site, {LEFT: b"v = %d\n" % value})
    before = site.history([LEFT])
    assert site.upkeep()
    assert list((site.place.common / "objects" / "pack").glob("*.pack"))
    assert (site.place.common / "objects" / "info" / "commit-graph").is_file()
    assert site.history([LEFT]) == before
    assert record(site, {LEFT: b"v = 12\n"}) and site.verify() == []

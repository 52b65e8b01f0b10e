"""What verify finds in records damaged on purpose, and that it is silent on a whole one."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from a_site import LEFT, record

from asleft.store import BadText, Damaged, Problem, Remote, Store

PlainGit = Callable[..., str]


def object_file(site: Store, name: str):  # type: ignore[no-untyped-def]
    path = site.place.common / "objects" / name[:2] / name[2:]
    path.chmod(0o644)
    return path


def test_a_whole_record_has_no_problem(site: Store) -> None:
    record(site, {LEFT: b"v = 2\n"}, trailers=(("Asset", "E1"), ("Corrects", site.head())))
    assert site.verify(lambda path, data: []) == []


def test_the_callers_check_sees_every_file_of_the_newest_record(site: Store) -> None:
    seen: dict[str, bytes] = {}

    def check(path: str, data: bytes) -> list[str]:
        seen[path] = data
        return ["no reading"] if path == LEFT else []

    assert site.verify(check) == [Problem(LEFT, "no reading")]
    assert seen == {path: site.read(path) for path in site.paths()}


def test_a_lost_object_is_named_with_its_path(site: Store) -> None:
    object_file(site, site.blob_id(LEFT) or "").unlink()
    assert any("missing" in p.what and LEFT in p.what for p in site.verify())


@pytest.mark.parametrize("damage", [lambda data: data[:-4], lambda data: b"\0" * len(data)])
def test_an_object_changed_on_the_disk_is_told(site: Store, damage: Callable[[bytes], bytes]) -> None:
    path = object_file(site, site.blob_id(LEFT) or "")
    path.write_bytes(damage(path.read_bytes()))
    assert site.verify()


def test_one_object_in_the_place_of_another_is_told(site: Store) -> None:
    other = object_file(site, site.blob_id("site.toml") or "").read_bytes()
    object_file(site, site.blob_id(LEFT) or "").write_bytes(other)
    assert any("not what was recorded" in p.what for p in site.verify())
    with pytest.raises(Damaged, match="not what was recorded"):
        site.read(LEFT)


@pytest.mark.parametrize(
    ("trailer", "words"),
    [
        ("asset: E1", "spelled 'Asset'"),
        ("Reason: ", "no value"),
        ("Corrects: 0123456789abcdef", "does not hold"),
        ("Signed-off-by: R. Example", ""),
    ],
)
def test_trailers_of_commits_made_by_hand(site: Store, plain_git: PlainGit, trailer: str, words: str) -> None:
    plain_git("commit", "-q", "--allow-empty", "--cleanup=verbatim", "-m", f"By hand\n\n{trailer}\nBy: R")
    assert [p.where for p in site.verify() if words in p.what] == ([site.head()] if words else [])


def test_settings_that_make_git_overlook_faults_are_told(site: Store, plain_git: PlainGit) -> None:
    plain_git("config", "fsck.badEmail", "ignore")
    assert [p.what for p in site.verify() if "overlook" in p.what and "fsck.bademail" in p.what]


def test_remotes_and_settings_are_what_git_holds(site: Store, plain_git: PlainGit) -> None:
    assert site.remotes() == ()
    plain_git("remote", "add", "office", "https://git.example/mill.git")
    assert site.remotes() == (Remote("office", "https://git.example/mill.git"),)
    site.set_setting('diff "asleft"', "command", "asleft diff --git")
    assert plain_git("config", "diff.asleft.command").strip() == "asleft diff --git"
    assert site.setting('diff "asleft"', "command") == "asleft diff --git"
    site.set_setting('diff "asleft"', "command", None)
    site.set_setting('diff "asleft"', "command", None)
    assert plain_git("config", "diff.asleft.command", check=False) == ""
    assert site.setting('diff "asleft"', "command") is None
    with pytest.raises(BadText):
        site.set_setting("core", "x", "a\n[alias]\nst = !sh")

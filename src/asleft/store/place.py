"""Where a site's record stands: its folder, its git directory, the directory its work trees share."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from asleft.store.errors import AlreadySite, ForeignRepository, NoSite, StoreError
from asleft.store.runner import Git

SITE_FILE = "site.toml"


@dataclass(frozen=True, slots=True)
class Place:
    """`top` is the site's folder, `git_dir` this work tree's, `common` the one all work trees share."""

    top: Path
    git_dir: Path
    common: Path
    git: Git

    @property
    def private(self) -> Path:
        """Our own folder inside the git directory: notes of unfinished writes, journals. Never recorded."""
        return self.git_dir / "asleft"


def locate(folder: Path, git: Git) -> Place:
    """The repository `folder` lies in. Errors: NoSite where it lies in none, ForeignRepository untrusted."""
    asked = ("--show-toplevel", "--absolute-git-dir", "--git-common-dir")
    lines = git.line(folder, "rev-parse", *asked).splitlines()
    top, git_dir, common = (Path(folder, line) for line in lines)
    return Place(top, git_dir, common.resolve(), git)


def find(start: Path, git: Git) -> Place:
    """The site that `start` (a folder or file) lies in.

    Errors: NoSite, ForeignRepository.
    """
    start = start.resolve()
    folder = next((f for f in (start, *start.parents) if (f / SITE_FILE).is_file()), None)
    if folder is None:
        raise NoSite(
            f"There is no site record in {start} or above it (no {SITE_FILE}).",
            "Go to the site's folder, or start a record with: asleft init",
        )
    place = locate(folder, git)
    if not place.top.samefile(folder):
        raise _inside(folder, place.top)
    if not is_recorded(place):
        raise NoSite(
            f"{folder} has a {SITE_FILE}, and its record does not hold it: starting it was not finished.",
            "Run again: asleft init",
        )
    return place


def is_recorded(place: Place) -> bool:
    """True where the newest commit holds the site file."""
    question = f"HEAD:{SITE_FILE}\n".encode()
    return not place.git.run(place.top, "cat-file", "--batch-check", stdin=question).out.endswith(
        b"missing\n"
    )


def claim(folder: Path, git: Git) -> Place:
    """Make `folder` the top of an empty repository of its own, or take up one whose start was interrupted.

    Errors: ForeignRepository inside or on another repository, AlreadySite.
    """
    folder = folder.absolute()
    steps = git.steps
    _refuse_other_repository(folder, git)
    steps.make_folder(folder)
    git.run(folder, "init", "--quiet", "--initial-branch=main", "--template=")
    place = locate(folder, git)
    for path in (place.git_dir / "refs", place.git_dir, folder, folder.parent):
        steps.flush(path)
    return place


def _refuse_other_repository(folder: Path, git: Git) -> None:
    stands = next(f for f in (folder, *folder.parents) if f.is_dir())
    try:
        place = locate(stands, git)
    except NoSite:
        return
    except StoreError as error:
        raise ForeignRepository(error.what, error.do_next) from error
    if stands != folder or not place.top.samefile(folder):
        raise _inside(folder, place.top)
    if is_recorded(place):
        raise AlreadySite(f"{folder} holds a site record already.", "Use it; nothing was changed.")
    if git.run(folder, "rev-parse", "--quiet", "--verify", "HEAD", ok=(0, 1)).code == 0:
        raise ForeignRepository(
            f"{folder} is a git repository with a history of something else.",
            "Start the site in a folder of its own.",
        )


def _inside(folder: Path, top: Path) -> ForeignRepository:
    return ForeignRepository(
        f"{folder} lies inside another repository, {top}; a site is the top of its own.",
        "Start or move the site to a folder outside of it.",
    )

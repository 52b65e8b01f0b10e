"""What the store can refuse, and what a person does next. Every message names the thing it speaks of."""

from __future__ import annotations


class StoreError(Exception):
    """A refusal of the store: `what` happened, `do_next` in one sentence, `exit_code` for the command."""

    exit_code = 2

    def __init__(self, what: str, do_next: str, files: tuple[str, ...] = ()) -> None:
        super().__init__(what)
        self.what = what
        self.do_next = do_next
        self.files = files


class NoGit(StoreError):
    """git is not on this machine."""


class GitTooOld(StoreError):
    """git is older than 2.36, which is the first that flushes what it writes when asked."""


class NoSite(StoreError):
    """There is no site record here."""


class AlreadySite(StoreError):
    """A site record stands here already."""


class ForeignRepository(StoreError):
    """The folder belongs to a repository that is not a site record, or that git does not trust."""


class EditedByHand(StoreError):
    """Target files differ from the record; `files` names them. Nothing was written, nothing is lost."""


class CannotWriteNow(StoreError):
    """The repository is in a state no record can be added to: a merge under way, or no branch."""


class BadText(StoreError):
    """A path, trailer, subject, name or point in history that cannot be kept as it is."""


class NotInRecord(StoreError):
    """A point in history or an object that the record does not hold."""


class NotRecorded(StoreError):
    """The disk or git refused; the record is as it was."""


class NotFlushed(StoreError):
    """The record was written, and the disk did not confirm that it is safe against loss of power."""


class Busy(StoreError):
    """The site's lock was not had in time, or git did not answer in time."""

    exit_code = 5


class Overtaken(StoreError):
    """Somebody else recorded meanwhile; nothing of theirs was overwritten."""

    exit_code = 5


class Damaged(StoreError):
    """The record cannot be read as it was written."""

    exit_code = 4


class GitFailed(StoreError):
    """git refused for a reason the store does not know."""

    exit_code = 3

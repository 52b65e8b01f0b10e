"""The one place that runs git: nothing a repository configures may run through it."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from asleft.store.errors import (
    Busy,
    Damaged,
    ForeignRepository,
    GitFailed,
    GitTooOld,
    NoGit,
    NoSite,
    NotInRecord,
    NotRecorded,
    StoreError,
)
from asleft.store.steps import Done, Steps

OLDEST = (2, 36)
# What a person sets for git as a whole stays; what points git at another repository or program does not.
_KEPT = re.compile(r"GIT_(CONFIG_(GLOBAL|SYSTEM|NOSYSTEM|COUNT|KEY_\d+|VALUE_\d+)|EXEC_PATH)")
_OURS = {
    "LC_ALL": "C",
    "LANGUAGE": "C",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_LITERAL_PATHSPECS": "1",
    "GIT_NO_REPLACE_OBJECTS": "1",
    # A partial clone fetches what it lacks by a program of the repository's choosing.
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_ALLOW_PROTOCOL": "none",
}
_SETTINGS = (
    f"core.hooksPath={os.devnull}",
    "core.fsmonitor=false",
    "core.fsync=all",
    "core.fsyncMethod=fsync",
    "core.quotePath=false",
    "core.pager=cat",
    "color.ui=false",
    f"diff.orderFile={os.devnull}",
    "gc.auto=0",
    "i18n.commitEncoding=UTF-8",
    "i18n.logOutputEncoding=UTF-8",
    "log.showSignature=false",
    "log.showRoot=true",
    "log.follow=false",
    "maintenance.auto=false",
    "safe.bareRepository=explicit",
    "submodule.recurse=false",
)
_DAMAGE = re.compile(
    r"corrupt|bad object|bad tree|missing (blob|tree|commit)|unable to read|could not read|loose object"
    r"|not a tree object|is a (blob|tree|commit), not|invalid object|unable to unpack|unable to parse"
    r"|inflate|hash mismatch",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Git:
    """git, run with an environment the caller passes in (names to values, as the machine gives it).

    `seconds` bounds each call; `steps` is what touches the disk.
    """

    env: Mapping[str, str]
    seconds: float = 60.0
    steps: Steps = field(default_factory=Steps)

    def run(
        self,
        folder: Path,
        *args: str,
        stdin: bytes = b"",
        settings: Sequence[str] = (),
        extra: Mapping[str, str] | None = None,
        ok: Sequence[int] = (0,),
        seconds: float | None = None,
    ) -> Done:
        """Run git in `folder`. Errors: NoGit, Busy (too slow), or what the refusal means in plain words."""
        command = [self._program(), "--no-pager"]
        for setting in (*_SETTINGS, *settings):
            command += ["-c", setting]
        env = {**self._clean_env(), **(extra or {})}
        done = self._call([*command, *args], folder, env, stdin, seconds or self.seconds)
        if done.code not in ok:
            raise explain(done, args[0], folder)
        return done

    def line(self, folder: Path, *args: str) -> str:
        """Run git and return its output as one stripped text."""
        return self.run(folder, *args).out.decode("utf-8", "surrogateescape").strip()

    def require_new_enough(self, folder: Path) -> None:
        """GitTooOld unless this git flushes what it writes (2.36)."""
        text = self.line(folder, "version")
        found = re.search(r"(\d+)\.(\d+)", text)
        if not found or (int(found[1]), int(found[2])) < OLDEST:
            raise GitTooOld(
                f"This git is too old to write a record safely: {text}.",
                f"Install git {OLDEST[0]}.{OLDEST[1]} or newer; reading works meanwhile.",
            )

    def _call(
        self, command: list[str], folder: Path, env: Mapping[str, str], stdin: bytes, seconds: float
    ) -> Done:
        try:
            return self.steps.call(command, folder, env, stdin, seconds)
        except subprocess.TimeoutExpired as slow:
            raise Busy(
                f"git did not finish within {seconds:g} s in {folder}.",
                "Repeat; if it stays so, look at the disk or the network share the site stands on.",
            ) from slow
        except FileNotFoundError as gone:
            if not folder.is_dir():
                raise NoSite(f"The folder {folder} is not there.", "Check the path.") from gone
            raise _no_git() from gone
        except OSError as error:
            raise GitFailed(
                f"git could not be run in {folder}: {error}.", "Look at the disk and repeat."
            ) from error

    def _clean_env(self) -> dict[str, str]:
        kept = {k: v for k, v in self.env.items() if not k.startswith("GIT_") or _KEPT.fullmatch(k)}
        return {**kept, **_OURS}

    def _program(self) -> str:
        # Never from the current folder, which on Windows the system would look in first.
        name = "git.exe" if os.name == "nt" else "git"
        for folder in self.env.get("PATH", os.defpath).split(os.pathsep):
            path = Path(folder) / name
            if folder and path.is_absolute() and os.access(path, os.X_OK):
                return str(path)
        raise _no_git()


def _no_git() -> NoGit:
    return NoGit(
        "git was not found on this machine; the record is kept in git.",
        f"Install git {OLDEST[0]}.{OLDEST[1]} or newer and repeat.",
    )


def explain(done: Done, command: str, folder: Path) -> StoreError:
    """The refusal of a git call as an error a person can act on."""
    text = done.err.decode("utf-8", "replace").strip()
    first = text.splitlines()[0] if text else f"exit code {done.code}"
    if "dubious ownership" in text or "unsafe repository" in text:
        return ForeignRepository(
            f"git does not trust {folder}: the folder belongs to another user of this machine.",
            f'If it is yours: git config --global --add safe.directory "{folder.as_posix()}"',
        )
    if "not a git repository" in text or "must be run in a work tree" in text:
        return NoSite(f"There is no site record in {folder}.", "Start one with: asleft init")
    if "No space left" in text or "Disk quota" in text:
        return NotRecorded(f"The disk is full: {first}", "Free some space and repeat; nothing was recorded.")
    if "Not a valid object name" in text or "unknown revision" in text or "bad revision" in text:
        return NotInRecord(f"The record has no such point: {first}", "See: asleft history")
    if "File exists" in text and ".lock" in text:
        return Busy(
            f"Another git program holds the record: {first}",
            "Wait for it and repeat; if no git program runs, remove the named .lock file.",
        )
    if _DAMAGE.search(text):
        return Damaged(f"The record is damaged: {first}", "Run asleft verify for the whole list.")
    return GitFailed(
        f"git {command} failed: {first}", "Run asleft verify; the record was not changed by this."
    )

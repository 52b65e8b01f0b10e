"""The one door to the disk and to git. A fault test passes its own, which fails at the n-th step."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Done:
    """What a finished git call left: exit code, standard output, standard error."""

    code: int
    out: bytes
    err: bytes


class Steps:
    """Each method is one step that can fail. All raise OSError; `call` also subprocess.TimeoutExpired."""

    def call(
        self, command: Sequence[str], folder: Path, env: Mapping[str, str], stdin: bytes, seconds: float
    ) -> Done:
        """Run a program to its end in `folder`, with exactly the environment given."""
        ran = subprocess.run(
            list(command),
            cwd=folder,
            env=dict(env),
            input=stdin,
            capture_output=True,
            timeout=seconds,
            check=False,
        )
        return Done(ran.returncode, ran.stdout, ran.stderr)

    def store(self, path: Path, data: bytes, *, flush: bool = True) -> None:
        """Write a file whole, flushed to the disk unless `flush` is off."""
        with path.open("wb") as file:
            file.write(data)
            file.flush()
            if flush:
                os.fsync(file.fileno())

    def claim(self, source: Path, path: Path) -> None:
        """Give `source` the further name `path`, which must not exist yet (FileExistsError)."""
        try:
            path.hardlink_to(source)
        except FileExistsError:
            raise
        except OSError:
            # A disk without hard links.
            with path.open("xb") as file:
                file.write(source.read_bytes())

    def replace(self, new: Path, target: Path) -> None:
        """Put `new` in the place of `target` at once, with the permissions `target` had."""
        if target.exists():
            shutil.copymode(target, new)
        new.replace(target)

    def copy(self, source: Path, target: Path) -> None:
        """Copy the bytes of a file."""
        shutil.copyfile(source, target)

    def remove(self, path: Path) -> None:
        """Remove a file; one that is gone already is no fault."""
        path.unlink(missing_ok=True)

    def remove_folder(self, path: Path) -> None:
        """Remove an empty folder."""
        path.rmdir()

    def make_folder(self, path: Path) -> None:
        """Create a folder and those above it."""
        path.mkdir(parents=True, exist_ok=True)

    def flush(self, folder: Path) -> None:
        """Flush the names in a folder. Windows has no such call; a folder that is gone has no names."""
        if os.name == "nt" or not folder.is_dir():
            return
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

"""Where a result goes, and in which form."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.cli.session import Session
from asleft.record import Fault, Refused

if TYPE_CHECKING:
    from asleft.documents.blocks import Sheet

FORMATS = ("text", "json", "md")


@dataclass(frozen=True, slots=True)
class Output:
    """Format, file and colour as asked. Raises ``Refused`` for an unknown format at once."""

    format: str = "text"
    file: Path | None = None
    color: str = "auto"
    known: tuple[str, ...] = FORMATS

    def __post_init__(self) -> None:
        from asleft.files.value import did_you_mean

        if self.format not in self.known:
            near = did_you_mean(self.format, self.known) or f"There are {', '.join(self.known)}."
            raise Refused(Fault(f"there is no format {self.format!r} here.", near))
        if self.color not in ("auto", "always", "never"):
            raise Refused(Fault(f"--color is auto, always or never, not {self.color!r}.", ""))

    def show(
        self,
        session: Session,
        kind: str,
        blocks: Callable[[], Sheet],
        data: Callable[[], dict[str, Any]],
        others: dict[str, Callable[[], str]] | None = None,
    ) -> None:
        """Write the result to standard output, or whole to the file."""
        if self.format == "text" and self.file is None and self._terminal(session):
            from asleft.documents import terminal

            terminal.show(blocks(), session.out, self._colored(session))
            return
        text = self._text(kind, blocks, data, others or {})
        if self.file is None:
            session.out.write(text)
        else:
            write_whole(self.file, text.encode("utf-8"))
            session.say(f"Written: {self.file}")

    def _text(
        self,
        kind: str,
        blocks: Callable[[], Sheet],
        data: Callable[[], dict[str, Any]],
        others: dict[str, Callable[[], str]],
    ) -> str:
        if self.format in others:
            return others[self.format]()
        if self.format == "json":
            from asleft.documents.data import render as render_data

            return render_data(kind, data())
        if self.format == "md":
            from asleft.documents.markdown import render as render_markdown

            return render_markdown(blocks())
        from asleft.documents.plain import render

        return render(blocks())

    def _terminal(self, session: Session) -> bool:
        return self.color == "always" or session.out.isatty()

    def _colored(self, session: Session) -> bool:
        return self.color == "always" or (self.color == "auto" and not os.environ.get("NO_COLOR"))


def write_whole(file: Path, content: bytes) -> None:
    """Write a file at once: the old one stands until the new one is complete."""
    fresh = file.with_name(f".{file.name}.new")
    try:
        fresh.write_bytes(content)
        fresh.replace(file)
    except OSError as problem:
        fresh.unlink(missing_ok=True)
        raise Refused(Fault(f"{file} cannot be written: {problem.strerror}.", "Name another file.")) from None

"""A person at a simulated drive, who does what the screen says and types what the drive shows."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from tests.conftest import Ran

from asleft.cli.session import Session
from asleft.cli.start import main
from asleft.compare import Side
from asleft.files.sets import read_set
from asleft.models import Model, Native, read_model
from asleft.replace.plan import shown_by
from asleft.replace.simulated import SimulatedUnit
from asleft.replace.standing import same_shown

MODELS = Path(__file__).parents[2] / "fixtures" / "demo" / "models"
MOST_LINES = 1500
WIRES = ("12, X1.3, 41", "13; X1.4; 42", "S4 = 4-20 mA", "done")


class Killed(BaseException):
    """The power goes while a line is awaited."""


def model_of(name: str) -> Model:
    family, _, size = name.rpartition("-")
    return read_model((MODELS / f"{family}.toml").read_bytes(), family).size(size)


def drive_of(unit: Path) -> SimulatedUnit:
    """The drive that a reading was taken from."""
    found = read_set(unit.read_bytes(), unit.name)
    model = model_of(found.model)
    return SimulatedUnit(model, dict(shown_by(Side(found, model), model)))


def value_in(native: Native, words: str) -> str:
    """What is keyed in for a value as the screen has it: 8.0 for 8.0 s, 2 for 2 (coast)."""
    return words.split(" ")[0] if native.choices or native.is_number else words


@dataclass
class Person:
    """``decides`` answers decisions by a word of their screen; ``slips`` are typed first at some ids;
    ``leaves_out`` maps ids to the reason; the power goes at every ``killed_at``-th entry of the list."""

    drive: SimulatedUnit
    decides: Mapping[str, str] = field(default_factory=dict)
    slips: dict[str, str] = field(default_factory=dict)
    leaves_out: Mapping[str, str] = field(default_factory=dict)
    killed_at: int = 0
    entered: list[str] = field(default_factory=list)
    typed: list[str] = field(default_factory=list)
    wires: list[str] = field(default_factory=lambda: list(WIRES))
    wrong: int = 0
    kills: int = 0
    _native: str = ""
    _kind: str = ""
    _words: str = ""

    def answer(self, screen: str) -> str:
        """The line typed at a prompt, the screen since the last one given."""
        prompt = screen.rsplit("\n", 1)[-1]
        self.wrong += "WRONG" in screen
        self._look(screen)
        self.typed.append(self._line(prompt, screen))
        assert len(self.typed) < MOST_LINES, screen
        return self.typed[-1]

    def _line(self, prompt: str, screen: str) -> str:
        if prompt.startswith("Number, or what"):
            return next((line for word, line in self.decides.items() if word in screen), "0")
        if prompt.startswith(("Read it back", "What does it show now")):
            return self._entry(screen)
        if prompt.startswith("Type done"):
            return self._work(screen)
        if prompt.startswith("Wire,"):
            return self.wires.pop(0)
        if prompt.endswith("yes or no > "):
            return self._yes_or_no(screen)
        fixed = {"Who decides": "", "Why?": "weighed with the plant", "Answer in": "looked at, all right"}
        found = next((line for start, line in fixed.items() if prompt.startswith(start)), None)
        return self._read_back(screen) if found is None else found

    def _work(self, screen: str) -> str:
        if "Store" in screen:
            self.drive.store()
            self.drive.power_cycle()
        return "done"

    def _look(self, screen: str) -> None:
        """Remember which entry the screen is about, and what it asks for."""
        words = [line.split(" ")[0] for line in screen.split("\n")]
        self._native = next(
            (word for word in reversed(words) if word in self.drive.model.natives), self._native
        )
        found = re.findall(r"(?m)^  (enter|enter, only for now|should be): (.*)$", screen)
        if found:
            self._kind, self._words = found[-1]

    @property
    def native(self) -> Native:
        """The entry asked for."""
        return self.drive.model.natives[self._native]

    def _entry(self, screen: str) -> str:
        native = self.native
        if native.id in self.leaves_out:
            return f"skip {self.leaves_out[native.id]}"
        if self._kind == "should be" and "enter it now" not in screen:
            return self.drive.displayed[native.id]
        self._key_in(native)
        return self.slips.pop(native.id, None) or self.drive.displayed[native.id]

    def _key_in(self, native: Native) -> None:
        self.drive.enter(native.id, value_in(native, self._words))
        self.entered.append(native.id)
        if self.killed_at and len(self.entered) % self.killed_at == 0 and self.kills < len(self.entered):
            self.kills = len(self.entered)
            raise Killed

    def _yes_or_no(self, screen: str) -> str:
        listed = re.findall(r"(?m)^  (\S+) .*: (.*)$", screen)
        rows = [
            (self.drive.model.natives[id_], words) for id_, words in listed if id_ in self.drive.model.natives
        ]
        if "Do all" in screen:
            fits = all(
                same_shown(native, self.drive.displayed[native.id], value_in(native, words))
                for native, words in rows
            )
            return "yes" if fits and rows else "no"
        return "yes"

    def _read_back(self, screen: str) -> str:
        native = self.native
        if "\n-- " in screen and self.typed[-1] not in ("no", "rest"):
            return "rest"
        if native.secret:
            return "set"
        shown = self.drive.displayed.get(native.id)
        return "skip not shown" if shown is None else f"={shown}"


class Seat:
    """Standard input with a person at it, who sees what was written to the error stream."""

    def __init__(self, person: Person, screen: io.StringIO) -> None:
        self.person, self.screen, self.seen = person, screen, 0
        self.buffer = self

    def isatty(self) -> bool:
        return True

    def readline(self, most: int = -1) -> bytes:
        text = self.screen.getvalue()
        shown, self.seen = text[self.seen :], len(text)
        return f"{self.person.answer(shown)}\n".encode()


def sit(site: Path, person: Person, monkeypatch: pytest.MonkeyPatch, *arguments: str) -> Ran:
    """Run a command line in a site with a person at the terminal."""
    out, err = io.StringIO(), io.StringIO()
    monkeypatch.setattr("sys.stdin", Seat(person, err))
    code = main(arguments, Session(folder=site, out=out, err=err))
    return Ran(code, out.getvalue(), err.getvalue())

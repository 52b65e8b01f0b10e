"""Every command has examples first in its help, a line in the README, and a place in the overview."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
import typer

from asleft.cli.session import Session
from asleft.cli.start import application, main, overview
from asleft.cli.table import COMMANDS

README = Path(__file__).parents[2] / "README.md"


def command_lines() -> list[tuple[str, ...]]:
    """Every command and subcommand, as words."""
    found: list[tuple[str, ...]] = []
    for command in COMMANDS:
        group = typer.main.get_command(application([command.name, "--help"])).commands[command.name]  # type: ignore[attr-defined]
        found.append((command.name,))
        found += [(command.name, name) for name in getattr(group, "commands", {})]
    return found


def help_of(words: tuple[str, ...]) -> str:
    out = io.StringIO()
    import contextlib

    with contextlib.redirect_stdout(out):
        assert main([*words, "--help"], Session(folder=Path(), out=out, err=out)) == 0
    return out.getvalue()


@pytest.mark.parametrize("words", command_lines(), ids=" ".join)
def test_help_starts_with_examples(words: tuple[str, ...]) -> None:
    lines = [line.strip() for line in help_of(words).splitlines() if line.strip()]
    assert lines[0].startswith("Usage:")
    after_usage = next(place for place, line in enumerate(lines) if line.startswith("Example"))
    assert after_usage <= 2
    assert lines[after_usage + 1].startswith("asleft ") or " | asleft " in lines[after_usage + 1]


@pytest.mark.parametrize("words", command_lines(), ids=" ".join)
def test_the_readme_names_every_command(words: tuple[str, ...]) -> None:
    rows = [line for line in README.read_text(encoding="utf-8").splitlines() if line.startswith("| `asleft ")]
    mine = [row for row in rows if row.startswith(f"| `asleft {words[0]}")]
    assert mine, f"no row for {words[0]}"
    assert all(word in " ".join(mine) for word in words)


def test_the_readme_names_no_command_that_is_not_there() -> None:
    names = {command.name for command in COMMANDS}
    for line in README.read_text(encoding="utf-8").splitlines():
        if line.startswith("| `asleft "):
            assert line.split()[2].strip("`") in names, line


def test_the_overview_groups_by_task() -> None:
    text = overview()
    for command in COMMANDS:
        assert f"  {command.name}" in text
        assert command.help in text


def test_no_maker_s_name_stands_in_the_program() -> None:
    source = README.parent / "src"
    makers = ("merrow", "skarn")
    found = [
        str(path)
        for path in source.rglob("*")
        if path.suffix in (".py", ".toml")
        and any(maker in path.read_text(encoding="utf-8").lower() for maker in makers)
    ]
    assert not found

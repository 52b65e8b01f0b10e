"""The repository's own configuration and remotes, by GitPython: rarely needed, so loaded only then."""

from __future__ import annotations

from dataclasses import dataclass

from asleft.store.errors import BadText
from asleft.store.place import Place


@dataclass(frozen=True, slots=True)
class Remote:
    """Another copy of the record that this repository knows, by name."""

    name: str
    url: str


def remotes(place: Place) -> tuple[Remote, ...]:
    """The remotes as configured. Nothing is contacted."""
    from git.config import GitConfigParser

    with GitConfigParser(place.common / "config", merge_includes=False) as config:
        names = [s for s in config.sections() if s.startswith('remote "')]
        return tuple(Remote(s[8:-1], str(config.get_value(s, "url", ""))) for s in names)


def setting(place: Place, section: str, key: str) -> str | None:
    """A value of the repository's own configuration, None where it has none."""
    from git.config import GitConfigParser

    with GitConfigParser(place.common / "config", merge_includes=False) as config:
        return str(config.get(section, key)) if config.has_option(section, key) else None


def set_setting(place: Place, section: str, key: str, value: str | None) -> None:
    """Write a value to the repository's own configuration, or with None take it away. Errors: BadText."""
    from git.config import GitConfigParser

    if any(not c.isprintable() for c in section + key + (value or "")):
        raise BadText("A setting has a line break or control character in it.", "Write it on one line.")
    with GitConfigParser(place.common / "config", read_only=False, merge_includes=False) as config:
        if value is not None:
            config.set_value(section, key, value)
        elif config.has_option(section, key):
            config.remove_option(section, key)
            if not config.options(section):
                config.remove_section(section)

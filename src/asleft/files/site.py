"""The site's own file: ``site.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import tzinfo
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from asleft.files.toml import parse
from asleft.record import Refused

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Site:
    """Name, time zone and house rules of a site. ``columns`` remembers how a spreadsheet layout is read."""

    name: str
    time_zone: str = "UTC"
    house_rules: Mapping[str, Any] = field(default_factory=dict)
    columns: Mapping[str, Any] = field(default_factory=dict)

    @property
    def zone(self) -> tzinfo:
        """The zone in which days of this site begin and end."""
        return ZoneInfo(self.time_zone)


def write_site(site: Site) -> bytes:
    """The canonical bytes of ``site.toml``."""
    import tomli_w

    document: dict[str, Any] = {"format": FORMAT, "name": site.name, "time_zone": site.time_zone}
    if site.house_rules:
        document["house_rules"] = dict(site.house_rules)
    if site.columns:
        document["columns"] = dict(site.columns)
    return tomli_w.dumps(document).encode("utf-8")


def read_site(content: bytes, where: str = "site.toml") -> Site:
    """Parse ``site.toml``. Raises ``Refused`` with every fault."""
    document = parse(content, where)
    data = document.data
    faults = list(document.format_faults(FORMAT))
    if not isinstance(data.get("name"), str) or not data.get("name"):
        faults.append(document.fault(("name",), "the site has no name.", 'Add name = "…".'))
    zone = data.get("time_zone", "UTC")
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, TypeError, OSError):
        faults.append(document.fault(("time_zone",), f"{zone!r} is no time zone.", "Write Europe/Vienna."))
    if faults:
        raise Refused(faults)
    return Site(data["name"], zone, data.get("house_rules", {}), data.get("columns", {}))

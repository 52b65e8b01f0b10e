"""Which drives of the site a drive is linked to."""

from __future__ import annotations

from collections.abc import Mapping

from asleft.record import Permit
from asleft.spec.subject import View

OTHERS: Mapping[str, str] = {
    "receiver": "the drive it feeds into",
    "feeder": "the drive that feeds it",
    "alike": "the drives alike",
}
"""What another drive may be to this one, and how a sentence names it."""


def linked(view: View, other: str) -> tuple[str, ...]:
    """The tags of the drives that are so linked, in the order of their slots."""
    asset = view.asset
    if other == "receiver":
        return tuple(feed.into for feed in asset.feeds)
    rest = {tag: subject.asset for tag, subject in view.others.items() if tag != asset.tag}
    if other == "feeder":
        return tuple(
            tag for tag, there in rest.items() if any(feed.into == asset.tag for feed in there.feeds)
        )
    return tuple(tag for tag, there in rest.items() if asset.alike and there.alike == asset.alike)


def permits_to(view: View, there: View) -> tuple[Permit, ...]:
    """What relays of the drive ``there`` do to this one."""
    return tuple(permit for permit in there.asset.permits if permit.to == view.asset.tag)

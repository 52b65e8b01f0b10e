"""Days and ages in words, the same in every locale."""

from __future__ import annotations

from datetime import date, datetime

_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


def plain_date(day: date) -> str:
    """``30 September 2026``."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def plain_time(at: datetime) -> str:
    """``30 September 2026 14:05``."""
    return f"{plain_date(at)} {at:%H:%M}"


def age(then: date, today: date) -> str:
    """How long ago in words: ``today``, ``1 day``, ``45 days``, ``7 months``."""
    days = (today - then).days
    if days <= 0:
        return "today"
    if days < 60:
        return "1 day" if days == 1 else f"{days} days"
    return f"{days * 12 // 365} months"

"""Looks settings up for the simulation, and remembers what was used, what was assumed, what was not read."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from decimal import Decimal
from fractions import Fraction

from asleft.models.behaviour_options import behaviour_options, resolve_options
from asleft.record import Value


class SettingFault(ValueError):
    """A value cannot be what its key asks for (text where a number belongs)."""


class Settings:
    """One set and its model's options, asked key by key.

    A key wins over the option that says the same. A key in neither the set nor ``not_read`` is one the
    model lacks: the default asked with applies, and is kept in ``assumed`` (key -> words).
    ``used`` holds every key asked for.
    """

    def __init__(
        self, values: Mapping[str, Value], options: Mapping[str, str], not_read: Collection[str] = ()
    ) -> None:
        self.values = values
        self.options = resolve_options(options)
        self.stated_options = frozenset(options)
        self.not_read = frozenset(not_read)
        self.used: set[str] = set()
        self.assumed: dict[str, str] = {}
        self.unread: set[str] = set()

    def has(self, key: str) -> bool:
        self.used.add(key)
        return key in self.values

    def choice(self, key: str, default: str) -> str:
        value = self._value(key, default)
        if not isinstance(value, str):
            raise SettingFault(f"{key} is {value}, where a choice belongs")
        return value

    def yes(self, key: str, default: bool) -> bool:
        return self.choice(key, "yes" if default else "no") in ("yes", "on")

    def number(self, key: str, default: int | str) -> Fraction:
        value = self._value(key, Decimal(default))
        if not isinstance(value, Decimal) or not value.is_finite():
            raise SettingFault(f"{key} is {value}, where a number belongs")
        return Fraction(value)

    def optional(self, key: str) -> Fraction | None:
        """A number, or None where the model lacks it and nothing needs assuming."""
        self.used.add(key)
        if key in self.not_read:
            self.unread.add(key)
        return self.number(key, 0) if key in self.values else None

    def names(self, key: str, default: tuple[str, ...]) -> frozenset[str]:
        value = self._value(key, default)
        return frozenset((value,) if isinstance(value, str) else value if isinstance(value, tuple) else ())

    def option(self, name: str) -> str:
        """An option's choice; the key that says the same thing wins."""
        option = behaviour_options()[name]
        if option.key is not None:
            self.used.add(option.key)
            if option.key in self.not_read:
                self.unread.add(option.key)
            value = self.values.get(option.key)
            if isinstance(value, str):
                return option.as_key.get(value, value)
        if name not in self.stated_options:
            self.assumed[f"option {name}"] = self.options[name]
        return self.options[name]

    def _value(self, key: str, default: Value) -> Value:
        self.used.add(key)
        if key in self.values:
            return self.values[key]
        if key in self.not_read:
            self.unread.add(key)
        else:
            self.assumed[key] = " ".join(default) if isinstance(default, tuple) else str(default)
        return default

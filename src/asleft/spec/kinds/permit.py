"""A relay of another drive that permits this one, or keeps it running.

``other`` says whose relay (``receiver``, ``feeder``) or ``other_application`` does (every drive of that
application); ``relay_shows`` is the function it must have, ``input`` what it must reach here, ``off_delay``
the bounds of its off-delay. With ``fails_safe`` the relay must pull in when true and the input act when
closed, so that a broken wire takes the permission away.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from asleft.record import Permit as Link
from asleft.record import Value
from asleft.spec.links import OTHERS, linked, permits_to
from asleft.spec.operands import ABSENT, Absent, Known, operand
from asleft.spec.rules import Outcome, sentence
from asleft.spec.selection import IF_NONE
from asleft.spec.subject import View
from asleft.spec.table import Table, numbers_of
from asleft.spec.wanted import OneOf, Wanted, read_range

FIELDS = (
    "other", "other_application", "relay_shows", "input", "off_delay", "fails_safe", "required_here",
    "if_none",
)  # fmt: skip


LINKS = "slot.links"


@dataclass(frozen=True, slots=True)
class Permit:
    """The link that must stand, and how both ends must be set."""

    other: str
    application: str
    shows: str
    inputs: tuple[str, ...]
    off_delay: Wanted | None
    fails_safe: bool
    required_here: bool
    if_none: str

    def judge(self, view: View) -> Iterator[Outcome]:
        """The outcomes of every drive that must be linked."""
        tags = self._tags(view)
        if not tags:
            words = sentence(f"the slots do not record {self._whose()}")
            yield Outcome(self.if_none, (LINKS,), {LINKS: "none"}, "", self.aloud(), words)  # type: ignore[arg-type]
        for tag in tags:
            yield from self._of(tag, view)
        if tags and self.required_here:
            yield _at(view, "", "stations.run_enable_required", OneOf(("yes",)))

    def _tags(self, view: View) -> tuple[str, ...]:
        if not self.application:
            return linked(view, self.other)
        return tuple(
            tag
            for tag, there in view.others.items()
            if there.asset.application == self.application and tag != view.asset.tag
        )

    def _whose(self) -> str:
        return f"any {self.application.replace('_', ' ')}" if self.application else OTHERS[self.other]

    def _of(self, tag: str, view: View) -> Iterator[Outcome]:
        there = view.of(tag)
        if there is None:
            yield Outcome("cannot_tell", (), {}, "", self.aloud(), f"{tag} is not among the drives read.")
            return
        fitting = [link for link in permits_to(view, there) if link.input in self.inputs]
        if not fitting:
            wanted = " or ".join(self.inputs).replace("_", " ")
            words = f"No relay of {tag} reaches {wanted} of {view.asset.tag} in the slot's record."
            none = {LINKS: f"none from {tag}"}
            yield Outcome("breached", (LINKS,), none, "no such link", self.aloud(), words)
        for link in fitting:
            yield from self._link(link, there, view)

    def _link(self, link: Link, there: View, view: View) -> Iterator[Outcome]:
        relay, owner = f"outputs.relay_{link.relay}", there.asset.tag
        yield _at(there, owner, f"{relay}.function", OneOf((self.shows,)))
        if self.off_delay is not None:
            yield _at(there, owner, f"{relay}.off_delay_s", self.off_delay)
        if self.fails_safe:
            yield _at(there, owner, f"{relay}.sense", OneOf(("energised_when_true",)))
        yield from self._input(link.input, view)

    def _input(self, function: str, view: View) -> Iterator[Outcome]:
        unread = ""
        for number, key in numbers_of("digital_inputs.di_n.function"):
            found = view.look(key)
            if isinstance(found, Known) and found.value == function:
                if self.fails_safe:
                    yield _at(view, "", f"digital_inputs.di_{number}.sense", OneOf(("acts_when_closed",)))
                return
            if not isinstance(found, (Known, Absent)):
                unread = unread or found.reason
        words = function.replace("_", " ")
        if unread:
            yield Outcome("cannot_tell", (), {}, "", self.aloud(), sentence(unread))
        else:
            said = f"No input here has the function {words}."
            yield Outcome("breached", (LINKS,), {LINKS: f"none to {words}"}, "none", self.aloud(), said)

    def aloud(self) -> str:
        """``the relay that shows running of the drive it feeds into must reach run enable here``."""
        named = operand("outputs.relay_1.off_delay_s")
        delay = f", with an off-delay {self.off_delay.words(named)}" if self.off_delay and named else ""
        reach = " or ".join(self.inputs).replace("_", " ")
        shows = self.shows.replace("_", " ")
        return f"a relay that shows {shows} of {self._whose()} must reach {reach} here{delay}"

    def names(self) -> tuple[str, ...]:
        """The repeated keys of relay and input."""
        delay = ("outputs.relay_n.off_delay_s",) if self.off_delay else ()
        return ("outputs.relay_n.function", "digital_inputs.di_n.function", *delay)


def _at(view: View, owner: str, key: str, wanted: Wanted) -> Outcome:
    found = view.look(key)
    name = f"{owner}/{key}" if owner else key
    required = wanted.words(found.operand)
    if not isinstance(found, Known):
        whose = f"{owner}: " if owner else ""
        if isinstance(found, Absent):
            return Outcome(
                "breached", (name,), {name: ABSENT}, ABSENT, required, sentence(whose + found.reason)
            )
        return Outcome("cannot_tell", (name,), {}, "", required, sentence(whose + found.reason))
    label = f"{found.operand.label}{f' of {owner}' if owner else ''}"
    values: Mapping[str, Value] = {name: found.value}
    if wanted.holds(found.value):
        return Outcome("met", (name,), values, found.words, required, sentence(f"{label}: {found.words}"))
    words = sentence(f"{label} is {found.words} and {wanted.must(found.operand)}")
    target = wanted.nearest(found.value)
    targets = {} if target is None else {name: target}
    return Outcome("breached", (name,), values, found.words, required, words, targets)


def read(table: Table) -> Permit | None:
    """The link asked for."""
    if ("other" in table) == ("other_application" in table):
        table.fault("other", "say whose relay it is.", f"other = {', '.join(OTHERS)}, or other_application.")
        return None
    inputs = table.words("input") or ["run_enable"]
    function = operand("digital_inputs.di_1.function")
    unknown = [name for name in inputs if function is None or name not in function.choices]
    if unknown:
        table.fault("input", f"no input has the function {unknown[0]!r}.")
        return None
    shows = table.text("relay_shows", "running")
    return Permit(
        table.choice("other", OTHERS, "receiver"),
        table.text("other_application"),
        shows,
        tuple(inputs),
        _off_delay(table),
        table.truth("fails_safe"),
        table.truth("required_here"),
        table.choice("if_none", IF_NONE, "cannot_tell"),
    )


def _off_delay(table: Table) -> Wanted | None:
    named = operand("outputs.relay_1.off_delay_s")
    if "off_delay" not in table or named is None:
        return None
    try:
        return read_range(named, table.mapping("off_delay"))
    except ValueError as problem:
        table.fault("off_delay", str(problem))
        return None

"""From a unit's registers to a reading: two passes, what is unstable, what was not read and why."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from asleft.intake.modbus.address import parse_address
from asleft.intake.modbus.line import BusLine, Line
from asleft.intake.modbus.passes import Pass, Watch, run_pass
from asleft.intake.modbus.plan import MOST, Span, span_of
from asleft.intake.modbus.registers import Unreadable, displayed
from asleft.intake.taken import Taken, from_decoded
from asleft.models import Model, Native, decode, displayed_words
from asleft.record import Fault, Refused
from asleft.vocabulary import vocabulary

_NO_REGISTER = "the model gives no register for it"


def take(source: str, model: Model | None, unit: int | None, watch: Watch) -> Taken:
    """A reading of the unit that ``source`` names; ``unit`` is the slot's own number on the bus.

    Raises ``Refused`` where nothing at all could be read.
    """
    address = parse_address(source, unit)
    if model is None:
        raise Refused(
            Fault(
                "a unit on a field bus is read by its model's registers, and no model is known.",
                "Say which with --model NAME, or set it for the asset.",
                source,
            )
        )
    line = BusLine(address)
    try:
        line.open()
        return read_unit(line, model, str(address), watch)
    finally:
        line.close()


def read_unit(line: Line, model: Model, where: str, watch: Watch) -> Taken:
    """Read every register of the model, and its settings a second time.

    A setting that differs between the passes is not read: which of the two stands is not known. Where the
    unit stops in between, what was read is kept and the rest is not read. Raises ``Refused`` where nothing
    was read.
    """
    spans = {native.id: span for native in model.natives.values() if (span := _span(native, model))}
    again = {spans[native.id] for native in model.natives.values() if native.id in spans and _matters(native)}
    total = len(set(spans.values())) + len(again)
    first = run_pass(line, spans.values(), lambda done, _: watch(done, total))
    if not first.words:
        raise Refused(_nothing(first, where, model))
    second = Pass()
    identity: tuple[str, ...] = ()
    if not first.stopped:
        seen = len(first.words) + len(first.reasons)
        repeated = [span for span in again if span in first.words]
        second = run_pass(line, repeated, lambda done, _: watch(seen + done, total), first.bridged)
        identity = () if second.stopped else line.identify()
    return _taken(model, where, spans, first, second, identity)


def _span(native: Native, model: Model) -> Span | None:
    span = span_of(native, model.register_base)
    return span if span is not None and span.words <= MOST else None


def _matters(native: Native) -> bool:
    return not native.read_only


def _nothing(first: Pass, where: str, model: Model) -> Fault:
    reason = first.stopped or next(iter(first.reasons.values()), "the model gives no registers")
    if "02" in reason:
        return Fault(
            f"{where} has none of the registers of {model.name}: nothing was read.",
            "Check the model, its register_base, and the unit's number.",
        )
    return Fault(
        f"nothing was read from {where}: {reason}.",
        "Check power, cable, unit number, and on a serial line speed and parity.",
    )


@dataclass
class _Found:
    """What each parameter showed, or why it did not, by native id."""

    shown: dict[str, str]
    reasons: dict[str, str]
    unstable: list[Fault]


def _taken(
    model: Model,
    where: str,
    spans: Mapping[str, Span],
    first: Pass,
    second: Pass,
    identity: tuple[str, ...],
) -> Taken:
    found = _Found({}, {}, [])
    for native in model.natives.values():
        _look(native, spans.get(native.id), first, second, found)
    decoded = decode(model, found.shown, "not read")
    reasons = {key: _reason(model, key, found, why) for key, why in decoded.not_read.items()}
    notes = (
        *_stopped(first, second, where, spans, found),
        *found.unstable,
        *_other_identity(model, identity),
        *_native_only(model, found),
    )
    return from_decoded(model, replace(decoded, not_read=reasons), "modbus", notes)


def _look(native: Native, span: Span | None, first: Pass, second: Pass, found: _Found) -> None:
    if span is None:
        found.reasons[native.id] = _NO_REGISTER
        return
    if span not in first.words:
        stopped = f"the unit stopped answering: {first.stopped}" if first.stopped else "not asked for"
        found.reasons[native.id] = first.reasons.get(span, stopped)
        return
    try:
        shown = displayed(native, first.words[span])
        later = displayed(native, second.words[span]) if span in second.words else shown
    except Unreadable as reason:
        found.reasons[native.id] = str(reason)
        return
    if shown != later and _matters(native):
        found.reasons[native.id] = "it changed while it was read"
        found.unstable.append(_unstable(native, shown, later))
    elif not shown and not _may_be_empty(native):
        found.reasons[native.id] = "the unit gives an empty text"
    else:
        found.shown[native.id] = shown


def _unstable(native: Native, shown: str, later: str) -> Fault:
    was, now = "one code", "another"
    if not native.secret:
        was, now = displayed_words(native, shown), displayed_words(native, later)
    return Fault(
        f"{native.text} changed while it was read: {was}, then {now}.",
        "Somebody is editing, or the bus is: read the unit again when nobody does.",
        native.id,
    )


def _may_be_empty(native: Native) -> bool:
    return bool(native.keys) and vocabulary()[native.keys[0]].kind in ("list", "set")


def _reason(model: Model, key: str, found: _Found, why: str) -> str:
    """A parameter's own reason, unless what it showed could not be translated."""
    own = [found.reasons[native.id] for native in model.by_key[key] if native.id in found.reasons]
    return own[0] if own else why


def _stopped(
    first: Pass, second: Pass, where: str, spans: Mapping[str, Span], found: _Found
) -> Iterator[Fault]:
    if first.stopped:
        missing = sum(span not in first.words for span in spans.values())
        yield Fault(
            f"{where} stopped after {first.requests - 1} answers ({first.stopped}):"
            f" {missing} of {len(spans)} entries were not read.",
            "Check power and cable, then read it again.",
        )
    elif second.stopped:
        once = sum(span in first.words and span not in second.words for span in spans.values())
        yield Fault(
            f"{where} stopped in the second pass ({second.stopped}): {once} entries were read only once.",
            "Read it again to be sure that nobody was editing.",
        )


def _other_identity(model: Model, identity: tuple[str, ...]) -> Iterator[Fault]:
    """A unit that names another maker than the model's."""
    names = " ".join(part for part in identity if part)
    if identity and identity[0] and model.maker.lower() not in names.lower():
        yield Fault(
            f"the unit says that it is {names}, and was read as {model.title} of {model.maker}.",
            "Check the model: asleft model list",
        )


def _native_only(model: Model, found: _Found) -> Iterator[Fault]:
    for native_id, why in found.reasons.items():
        native = model.natives[native_id]
        if not native.keys and why != _NO_REGISTER:
            yield Fault(f"{native.text} was not read: {why}.", "It has no neutral meaning.", native_id)

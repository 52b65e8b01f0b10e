"""A unit that is not there: a model's registers as a set has them, answered as a drive would over Modbus.

Modbus Application Protocol V1.1b3. It answers reads and its identification, and refuses everything else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from asleft.intake.modbus.line import ILLEGAL_ADDRESS, ILLEGAL_FUNCTION, ILLEGAL_VALUE
from asleft.intake.modbus.plan import HOLDING, INPUT, MOST, span_of
from asleft.intake.modbus.registers import words_for
from asleft.models import CannotEnter, Model, Native, encode_one
from asleft.record import Fault, ParameterSet, Refused

IDENTIFICATION = 0x2B
_MEI_TYPE, _BASIC, _CONFORMITY = 0x0E, 1, 0x01
_ERROR = 0x80
_CODE_SET = "1"


@dataclass(frozen=True, slots=True)
class Simulated:
    """``registers`` by function and address, as on the wire; ``left_out`` says which parameters have none.

    ``identity`` is vendor, product code and revision.
    """

    model: str
    registers: Mapping[tuple[int, int], int]
    identity: tuple[str, str, str]
    left_out: Mapping[str, str]

    def answer(self, request: bytes) -> bytes:
        """The answer to one request, both without frame."""
        function = request[0] if request else 0
        if function in (HOLDING, INPUT):
            return self._registers(function, request)
        if function == IDENTIFICATION and request[1:3] == bytes((_MEI_TYPE, _BASIC)):
            return self._identification()
        return bytes((function | _ERROR, ILLEGAL_FUNCTION))

    def _registers(self, function: int, request: bytes) -> bytes:
        address, count = int.from_bytes(request[1:3], "big"), int.from_bytes(request[3:5], "big")
        if len(request) != 5 or not 1 <= count <= MOST:
            return bytes((function | _ERROR, ILLEGAL_VALUE))
        words = [self.registers.get((function, at)) for at in range(address, address + count)]
        if None in words:
            return bytes((function | _ERROR, ILLEGAL_ADDRESS))
        raw = b"".join(word.to_bytes(2, "big") for word in words if word is not None)
        return bytes((function, len(raw))) + raw

    def _identification(self) -> bytes:
        head = bytes((IDENTIFICATION, _MEI_TYPE, _BASIC, _CONFORMITY, 0, 0, len(self.identity)))
        texts = [text.encode("utf-8")[:64] for text in self.identity]
        return head + b"".join(bytes((number, len(text))) + text for number, text in enumerate(texts))


@dataclass
class _Filling:
    registers: dict[tuple[int, int], int] = field(default_factory=dict)
    holes: set[tuple[int, int]] = field(default_factory=set)
    left_out: dict[str, str] = field(default_factory=dict)


def simulated(model: Model, parameters: ParameterSet) -> Simulated:
    """The unit that would show just this set. What the set does not give has no register, and is left out.

    A code that is set is stood in for by another one: which digits it has is not known here. Raises
    ``Refused`` where no register at all could be filled.
    """
    filling = _Filling()
    for native in model.natives.values():
        _fill(model, native, parameters, filling)
    registers = {place: word for place, word in filling.registers.items() if place not in filling.holes}
    if not registers:
        raise Refused(
            Fault(f"{model.name} has no registers for this set.", "Its model file names none: add them.")
        )
    firmware = parameters.values.get("drive.firmware_version", parameters.firmware)
    return Simulated(model.name, registers, (model.maker, model.title, str(firmware)), filling.left_out)


def _fill(model: Model, native: Native, parameters: ParameterSet, filling: _Filling) -> None:
    span = span_of(native, model.register_base)
    if span is None:
        filling.left_out[native.id] = "the model gives no register for it"
        return
    places = [(span.function, at) for at in range(span.address, span.end)]
    try:
        words = words_for(native, _shown(model, native, parameters))
    except (CannotEnter, ValueError) as reason:
        filling.left_out[native.id] = str(reason)
        filling.holes.update(places)
        return
    for place, word in zip(places, words, strict=True):
        filling.registers[place] = filling.registers.get(place, 0) | word


def _shown(model: Model, native: Native, parameters: ParameterSet) -> str:
    """What the drive displays of one parameter. Raises ``CannotEnter`` where the set does not tell."""
    if native.id in parameters.native and not native.secret:
        return parameters.native[native.id]
    lacking = [key for key in native.keys if key not in parameters.values]
    if lacking or not native.keys:
        raise CannotEnter("the set does not give it")
    if native.secret:
        return _stand_in(native, str(parameters.values[native.keys[0]]))
    return encode_one(native, {**parameters.values, **model.fixed}).displayed


def _stand_in(native: Native, state: str) -> str:
    if state == "factory" and native.factory.isdecimal():
        return native.factory
    if state == "set":
        return _CODE_SET if native.factory.lstrip("0") != _CODE_SET else "2"
    if state == "not_set":
        return "0"
    raise CannotEnter(f"no register shows a code that is {state}")

"""A reading over Modbus TCP or RTU, by the register map of the drive's model. Reads only.

Modbus Application Protocol V1.1b3; Modbus serial line V1.02.
"""

from asleft.intake.modbus.address import Address, is_address, parse_address
from asleft.intake.modbus.reading import read_unit, take

__all__ = ["Address", "is_address", "parse_address", "read_unit", "take"]

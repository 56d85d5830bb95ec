"""Adafruit's MAX31856 driver, loaded without the modules that it names in its type hints alone.

Driver and bus device import Blinka's ``busio`` and ``digitalio`` for their type hints. On a
Raspberry Pi that loads the pins' libraries (gpiod) into a program that needs none of them. So
these two names stand for empty classes while the driver is loaded, and only then; where they are
loaded already they are left as they are.
"""

from __future__ import annotations

import sys
from types import ModuleType

_HINTS = {"busio": "SPI", "digitalio": "DigitalInOut"}


def _stand_ins() -> dict[str, ModuleType]:
    found = {}
    for name, hint in _HINTS.items():
        if name not in sys.modules:
            found[name] = ModuleType(name)
            setattr(found[name], hint, type(hint, (), {}))
    return found


_STANDING_IN = _stand_ins()
sys.modules.update(_STANDING_IN)
try:
    import adafruit_max31856  # type: ignore[import-untyped]
finally:
    for _name in _STANDING_IN:
        del sys.modules[_name]

__all__ = ["adafruit_max31856"]

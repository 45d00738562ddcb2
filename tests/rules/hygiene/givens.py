"""What the tests of the hygiene rules share."""

from __future__ import annotations

from typing import Final

BOTH: Final = {"scald", "hygiene"}
NO_VALVE: Final = {"hot_water.mixing_valve": False}
PLATE: Final = {"hot_water.kind": "plate"}
HEAT_UP: Final = {"settings.hygiene_cycle": True, "settings.hygiene_target": 150}
HEAT_UP_C: Final = {"settings.hygiene_cycle": True, "settings.hygiene_target": 65}

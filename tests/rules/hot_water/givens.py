"""What the tests of the hot-water rules share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from tests.rules.kit import finding


def flow_at_set_point(changes: Mapping[str, Any]) -> float:
    """Return the flow of hot water that a plate then makes at its set point, gpm."""
    return finding("plate-set-point-out-of-reach", changes).numbers["flow at the set point"].value * 60 / 3.785411784


PLATE: Final[dict[str, Any]] = {"hot_water.kind": "plate", "hot_water.low_use": True, "settings.outlet_setpoint": 118}

"""What the tests of the firing rules share."""

from __future__ import annotations

from typing import Any, Final

NO_DEFAULT: Final = {
    name: {"drop_control": [f"setting.{name}.default"]}
    for name in ("minimum_fan_speed", "ignition_fan_speed", "maximum_fan_speed")
}


def without(name: str) -> dict[str, Any]:
    """Neither the profile nor the control has the setting, and the control's list is complete."""
    return {"drop": [f"settings.{name}"], "drop_control": [f"setting.{name}"]}

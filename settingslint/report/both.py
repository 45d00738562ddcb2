"""Values in both unit systems, the profile's own first."""

from __future__ import annotations

from settingslint.model.values import Value, kind_of, show_value
from settingslint.report.svg import other
from settingslint.rules.plant import Plant
from settingslint.units import Kind


def both(plant: Plant, kind: Kind, value: Value) -> str:
    """Return an SI value in the profile's units and, where they differ, in the other ones: `140 F (60 C)`."""
    own, foreign = show_value(value, kind, plant.system), show_value(value, kind, other(plant.system))
    return own if own == foreign else f"{own} ({foreign})"


def both_of(plant: Plant, name: str, value: Value) -> str:
    """Return the value of a setting in both unit systems; in the control's own unit alone where it has one."""
    effect = plant.effects.get(name)
    if effect is not None and effect.unit is not None:
        return plant.show(name, value)
    return both(plant, kind_of(name), value)

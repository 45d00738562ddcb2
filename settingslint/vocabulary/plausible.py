"""What a setting or fact can plausibly be where nobody recorded it; rules are tried on these values.

Numbers have a low, a usual and a high value, words and flags every value that they can have. A *usual* value is what a
finding may assume, by name. What endangers people has none: whether there is a mixing valve, who lives there, what a
water-safety plan says is asked, never assumed. Where a name has no row at all, a rule that needs it is not checked.

The rows are in US units and each says where it comes from. The first row of a name whose `when` fits what is known of
the plant is taken.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Final, NamedTuple

Given = bool | str | float
"""A value of a row, in US units."""
NOTHING: Final[Mapping[str, tuple[Given, ...]]] = MappingProxyType({})


class Span(NamedTuple):
    """What a number can plausibly be. With `of`, a number of another name: a temperature is that one plus `low`,
    `usual` and `high`, kelvin as degrees F; anything else is that one times them, SI. `usual` None where it is asked.
    """

    name: str
    low: float
    usual: float | None
    high: float
    origin: str
    when: Mapping[str, tuple[Given, ...]] = NOTHING
    of: str = ""


class Choice(NamedTuple):
    """What a word or flag can plausibly be: all its values, or those `among` them; `usual` None where it is asked."""

    name: str
    usual: Given | None
    origin: str
    when: Mapping[str, tuple[Given, ...]] = NOTHING
    among: tuple[Given, ...] = ()


Rows = Mapping[str, tuple[Span | Choice, ...]]
"""Rows by name, those that count first before others."""


def by_name(rows: Iterable[Span | Choice]) -> Rows:
    """Return rows by their names, in their order."""
    found: dict[str, list[Span | Choice]] = {}
    for row in rows:
        found.setdefault(row.name, []).append(row)
    return {name: tuple(own) for name, own in found.items()}


NEVER_ASSUMED: Final = frozenset({
    "hot_water.mixing_valve", "hot_water.mixing_valve_setpoint", "hot_water.mixing_valve_tested",
    "hot_water.safety_plan", "hot_water.outlet_measured", "hot_water.return_measured", "site.occupants",
    "site.alarm_path", "vent.material", "vent.rating", "vent.common_damper", "gas.fuel",
    "freeze_protection",
})  # fmt: skip
"""What endangers people where it is guessed wrong: it has no usual value, and an owner can't set one."""

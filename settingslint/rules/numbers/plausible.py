"""Rule: numbers that are not plausible, and that no other unit, scale or reading explains."""

from __future__ import annotations

from typing import Final

from settingslint.model.bounds import plausible_range
from settingslint.model.values import title_of
from settingslint.rules.base import RECORD, Drafts, Quantity, found
from settingslint.rules.numbers.facts import mixed_powers, mixed_pressures
from settingslint.rules.numbers.odd import barred, cautions_of, odd_numbers, proof_of, remedy_for, severity_of
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.vocabulary.settings import SETTINGS
from settingslint.vocabulary.sources import COMMON_PRACTICE

AGAIN: Final = "measure or read it again, and record it in the file's unit"


@rule(
    "number-not-plausible",
    severity=RECORD,
    cautions=("record",),
    source=COMMON_PRACTICE,
    trips="boiler.efficiency = 0.4",
    passes="boiler.efficiency = 0.92",
)
def number_not_plausible(plant: Plant) -> Drafts:
    """A number is outside what is plausible: a typing error, a lost digit, another unit.

    Where another unit or scale explains it, the rule for that speaks. A setting is as bad as its caution class, a fact
    as the worst rule that can't be checked because of it: none that asks for such a number is. The range of each fact
    is in the schema of a profile, with where it comes from.
    """
    odd = plant.once(odd_numbers)
    told = {one.name for one in odd if one.how} | {one.name for one in plant.once(mixed_powers)}
    told |= {name for name, _, _ in plant.once(mixed_pressures)}
    for number in odd:
        if number.certain and number.name not in told:
            told.add(number.name)
            yield found(
                number.name,
                f"{title_of(number.name)} {_not_plausible(plant, number.name, number.value)}",
                proof_of(number),
                remedy_for(number.name, None, AGAIN),
                severity=severity_of(number.name),
                cautions=cautions_of(number.name),
            )
    for name in plant.doubts:
        value = plant.recorded(name)
        if name in SETTINGS and name not in told and isinstance(value, float):
            yield found(
                name,
                f"{title_of(name)} runs at {_not_plausible(plant, name, value)}",
                {"runs at": Quantity(value, SETTINGS[name].kind)},
                remedy_for(name, None, "read it again at the display, and check what the control file says of it"),
                severity=severity_of(name),
                cautions=cautions_of(name),
            )


def _not_plausible(plant: Plant, name: str, value: float) -> str:
    """Return a number with what would be plausible, which is named for no setting of firing and no limit."""
    span = plausible_range(name)
    assert span is not None
    shown = span.say(value, plant.system)
    return f"{shown} is not plausible" + ("" if barred(name) else f" ({span.show(plant.system)} is)")


RULES: Final[tuple[Rule, ...]] = (number_not_plausible,)

"""Rules of the hygiene group about how the tank came to its set point; they need the history."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import inf
from typing import Final

from settingslint.model.values import Value
from settingslint.rules.base import DANGER, LIKELY, DoesNotApply, Drafts, celsius_of, found
from settingslint.rules.hygiene.tap import BOTH, TANK
from settingslint.rules.past import Change, Left, open_at_visit
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kelvin
from settingslint.vocabulary.sources import COMMON_PRACTICE

MOVED: Final = Kelvin(0.25)
"""A tank set point moved by less was only written in another unit: half of a step of 1 F."""


def _moved_by(old: Value, new: Value | None, up: bool) -> float:
    """Return by how much a value moved the one way, kelvin; without end where one of both is no number."""
    if not isinstance(old, float) or not isinstance(new, float):
        return inf
    return new - old if up else old - new


def _moved(plant: Plant, up: bool, occasion: str, says: str) -> Drafts:
    def counts(change: Change) -> bool:
        return MOVED <= _moved_by(change.old, change.new, up) < inf and not answered(change, change.state)

    def answered(change: Change, state: Left) -> bool:
        tested = state.facts.get("hot_water.mixing_valve_tested")
        put_back = _moved_by(change.old, state.held("tank_setpoint", default), up) < MOVED
        return put_back or (isinstance(tested, date) and tested >= change.state.on)

    if plant.known("hot_water.mixing_valve") is False:
        raise DoesNotApply("there is no mixing valve to test")
    states, default = plant.states(), plant.default_of("tank_setpoint")
    if len(states) < 2:
        raise DoesNotApply("no earlier state")
    change = open_at_visit(states, "tank_setpoint", default, ("visit.occasion", occasion), counts, answered)
    if change is None:
        return
    numbers = (("before", change.old), ("now", change.new))
    old, new = (plant.show("tank_setpoint", value) for _, value in numbers)
    draft = found(
        "tank_setpoint",
        f"tank {'raised' if up else 'lowered'} from {old} to {new} {says}; valve not tested since",
        {name: celsius_of(value) for name, value in numbers if isinstance(value, float)},
        "test the mixing valve at the taps; then ask the person responsible for water safety",
    )
    yield replace(draft, remarks=(f"changed {change.when}",))


@rule(
    "tank-lowered-after-scald-complaint",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint",),
    only_if=TANK,
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the visit's occasion is the reason for the change",
    trips='visit.occasion = "scald complaint"',
    passes='visit.occasion = "routine"',
    history=("in which the tank was hotter", ""),
)
def tank_lowered_after_scald_complaint(plant: Plant) -> Drafts:
    """The tank was lowered after a scald complaint, and the mixing valve was not tested since.

    Looks into the history: the visit that lowered the tank had this occasion. A test of the valve on that day or later
    clears it, and so does the old set point put back.
    """
    return _moved(plant, False, "scald complaint", "after a scald complaint")


@rule(
    "tank-raised-without-valve-test",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint",),
    only_if=TANK,
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the visit's occasion is the reason for the change",
    trips='visit.occasion = "positive water sample"',
    passes='visit.occasion = "routine"',
    history=("in which the tank was cooler", ""),
)
def tank_raised_without_valve_test(plant: Plant) -> Drafts:
    """The tank was raised after a positive water sample, and the mixing valve was not tested since.

    Looks into the history: the visit that raised the tank had this occasion. A test of the valve on that day or later
    clears it, and so does the old set point put back.
    """
    return _moved(plant, True, "positive water sample", "after a positive water sample")


RULES: Final[tuple[Rule, ...]] = (tank_lowered_after_scald_complaint, tank_raised_without_valve_test)

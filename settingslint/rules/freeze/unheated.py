"""Rules of the freezing group about what helps when the boiler does not fire: antifreeze, an alarm, the insurer."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.cooldown import time_to
from settingslint.physics.glycol import freezing_point
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    DoesNotApply,
    Drafts,
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
)
from settingslint.rules.derived.output import glycol_share
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kind, celsius
from settingslint.vocabulary.sources import COMMON_PRACTICE

CAUTION: Final = ("freeze",)
FREEZING: Final = Celsius(0.0)

NEVER_COLD: Final = Threshold(
    "never_cold", celsius(35), Kind.POINT, COMMON_PRACTICE, "coldest outdoor temperature above which nothing freezes",
    celsius(32), celsius(50), "water freezes at 32 F", looser="down",
)  # fmt: skip
TEST_DAYS: Final = Threshold(
    "glycol_test_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between tests of the antifreeze",
    90.0, 731.0, "common practice, no source: tested every year, every second at most", looser="up",
)  # fmt: skip
EMPTY: Final = ("vacant", "seasonal", "none")
GLYCOLS: Final = ("propylene glycol", "ethylene glycol")


def gets_cold(plant: Plant) -> None:
    """Go on only where it can freeze at all.

    Raises:
        DoesNotApply: where the coldest expected outdoor temperature is above the threshold.
    """
    if plant.point("site.coldest") > plant.threshold(NEVER_COLD) + TOLERANCE:
        raise DoesNotApply("it does not get cold here")


@rule(
    "antifreeze-too-weak",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("water.fluid", "water.glycol_percent", "water.glycol_by", "site.coldest"),
    only_if={"water.fluid": GLYCOLS},
    cautions=CAUTION,
    source="freezing points of CoolProp's glycol mixtures; printed tables differ by up to 2.5 K",
    assumes="water outdoors or in an unheated place gets as cold as the coldest day",
    trips=(
        'water.fluid = "propylene glycol", water.glycol_percent = 41.7, water.glycol_by = "mass", '
        "water.tested = 2026-10-01"
    ),
    passes="water.glycol_percent = 41.8",
)
def antifreeze_too_weak(plant: Plant) -> Drafts:
    """The antifreeze begins to freeze before the coldest weather is reached.

    Freezing point of the mixture by its share, by mass or by volume as recorded, against the coldest day.
    """
    fluid = plant.word("water.fluid")
    freezes, coldest = freezing_point(fluid.split()[0], glycol_share(plant)), plant.point("site.coldest")
    if freezes > coldest + TOLERANCE:
        yield found(
            "water.glycol_percent",
            f"{plant.show('water.glycol_percent')} {fluid} by {plant.word('water.glycol_by')} begins to freeze at about"
            f" {plant.show(Kind.POINT, freezes)}; coldest {plant.show(Kind.POINT, coldest)}",
            {"begins to freeze": celsius_of(freezes), "coldest": celsius_of(coldest)},
            "test it, and bring it to a strength that the makers of boiler and fluid both allow",
        )


@rule(
    "antifreeze-test-overdue",
    severity=DAMAGE,
    certainty=ASK,
    needs=("water.fluid", "water.tested"),
    only_if={"water.fluid": GLYCOLS},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(TEST_DAYS,),
    trips=(
        'water.fluid = "propylene glycol", water.glycol_percent = 45, water.glycol_by = "mass", '
        "water.tested = 2025-11-23"
    ),
    passes="water.tested = 2025-11-24",
)
def antifreeze_test_overdue(plant: Plant) -> Drafts:
    """The antifreeze was not tested within a year."""
    tested = plant.day("water.tested")
    if plant.as_of - tested > timedelta(days=plant.threshold(TEST_DAYS)):
        yield found(
            "water.tested",
            f"antifreeze last tested on {tested}: is it still strong enough?",
            {"days": Quantity((plant.as_of - tested).days, Kind.COUNT)},
            "test strength and inhibitor, and write both down",
        )


@rule(
    "nobody-gets-an-alarm",
    severity=DAMAGE,
    certainty=ASK,
    needs=("site.occupants", "site.alarm_path", "site.coldest"),
    only_if={"site.occupants": EMPTY},
    cautions=(*CAUTION, "insurance"),
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
    trips='site.occupants = "vacant", site.alarm_path = false',
    passes="site.alarm_path = true",
)
def nobody_gets_an_alarm(plant: Plant) -> Drafts:
    """The building is empty, but nobody gets an alarm when the heat fails.

    Time to freezing after the heat fails: tau ln((room - outdoor)/(0 C - outdoor)) with the building's time constant.
    No freeze setting helps in a lockout, without gas or power, or with a dead battery.
    """
    gets_cold(plant)
    if plant.flag("site.alarm_path"):
        return
    room, tau = plant.known("holiday_room"), plant.known("building.cooldown_time_constant")
    fails, numbers = " when the heat fails", {}
    if isinstance(room, float) and isinstance(tau, float):
        seconds = time_to(Celsius(room), plant.point("site.coldest"), FREEZING, tau)
        if seconds is not None:
            hours = round(seconds / 3600.0) * 3600.0
            fails = f": freezes in about {plant.show(Kind.HOURS, hours)} without heat"
            numbers = {
                "room": celsius_of(room),
                "coldest": celsius_of(plant.point("site.coldest")),
                "time to freezing": Quantity(seconds, Kind.HOURS),
            }
    yield found(
        "site.alarm_path",
        f"{_WHO[plant.word('site.occupants')]} and nobody gets an alarm{fails}",
        numbers,
        "set up an alarm to somebody who can come in time, or drain the system",
    )


_WHO: Final = {
    "vacant": "vacant building",
    "seasonal": "seasonal building",
    "none": "unused building",
}


@rule(
    "room-below-insurers-condition",
    severity=OUTAGE,
    needs=("holiday_room", "site.insurer_minimum"),
    cautions=(*CAUTION, "insurance"),
    source="the policy's own condition, as recorded",
    trips="settings.holiday_room = 49",
    passes="settings.holiday_room = 50",
)
def room_below_insurers_condition(plant: Plant) -> Drafts:
    """The room temperature kept while away is below what the insurer requires."""
    kept, required = plant.point("holiday_room"), plant.point("site.insurer_minimum")
    if kept < required - TOLERANCE:
        value = attainable(plant, "holiday_room", at_least=required)
        remedy = (
            Remedy("tell the insurer: this control can't keep what the policy requires")
            if value is None
            else Remedy(f"keep {plant.show('holiday_room', value)}, as the policy requires", {"holiday_room": value})
        )
        yield found(
            "holiday_room",
            f"room is kept at {plant.show(Kind.POINT, kept)} while away; the policy requires"
            f" {plant.show(Kind.POINT, required)}",
            {"kept": celsius_of(kept), "required": celsius_of(required)},
            remedy,
        )


RULES: Final[tuple[Rule, ...]] = (
    antifreeze_too_weak,
    antifreeze_test_overdue,
    nobody_gets_an_alarm,
    room_below_insurers_condition,
)

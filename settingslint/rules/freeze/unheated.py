"""Rules of the freezing group about what is left when the boiler does not fire: antifreeze, an alarm, the insurer."""

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
    """The antifreeze begins to freeze before it gets as cold as it can get.

    Freezing point of the mixture by its share, by mass or by volume as recorded, against the coldest day.
    """
    fluid = plant.word("water.fluid")
    freezes, coldest = freezing_point(fluid.split()[0], glycol_share(plant)), plant.point("site.coldest")
    if freezes > coldest + TOLERANCE:
        yield found(
            "water.glycol_percent",
            f"{plant.show('water.glycol_percent')} {fluid} by {plant.word('water.glycol_by')} begins to freeze at about"
            f" {plant.show(Kind.POINT, freezes)}; it gets as cold as {plant.show(Kind.POINT, coldest)}",
            {"begins to freeze": celsius_of(freezes), "coldest": celsius_of(coldest)},
            "test it, and bring it to what the makers of boiler and fluid agree on",
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
            f"the antifreeze was last tested on {tested}: is it still what it was?",
            {"days": Quantity((plant.as_of - tested).days, Kind.COUNT)},
            "test strength and inhibitor and write both down",
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
    """The building is empty, and nobody gets an alarm when the heat fails.

    Time to freezing after the heat fails: tau ln((room - outdoor)/(0 C - outdoor)) with the building's time constant.
    Lockout, loss of gas or power, or a dead battery are covered by no freeze setting.
    """
    gets_cold(plant)
    if plant.flag("site.alarm_path"):
        return
    room, tau = plant.known("holiday_room"), plant.known("building.cooldown_time_constant")
    extra, numbers = "", {}
    if isinstance(room, float) and isinstance(tau, float):
        seconds = time_to(Celsius(room), plant.point("site.coldest"), FREEZING, tau)
        if seconds is not None:
            hours = round(seconds / 3600.0) * 3600.0
            extra = (
                f"; from {plant.show(Kind.POINT, room)} it takes about {plant.show(Kind.HOURS, hours)} to freezing at"
                f" {plant.show('site.coldest')}, sooner in outside walls"
            )
            numbers = {"time to freezing": Quantity(seconds, Kind.HOURS)}
    yield found(
        "site.alarm_path",
        f"{_WHO[plant.word('site.occupants')]}, and nobody gets an alarm when the heat fails{extra}",
        numbers,
        "an alarm that somebody gets and can come to in time; or drain it",
    )


_WHO: Final = {
    "vacant": "the building is vacant",
    "seasonal": "the building is used by the season",
    "none": "nobody uses the building",
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
    """The room temperature that is kept while away is below what the insurer asks for."""
    kept, asked = plant.point("holiday_room"), plant.point("site.insurer_minimum")
    if kept < asked - TOLERANCE:
        value = attainable(plant, "holiday_room", at_least=asked)
        remedy = (
            Remedy("this control can't keep what the policy asks for: say so to the insurer")
            if value is None
            else Remedy(f"keep {plant.show('holiday_room', value)}, as the policy asks", {"holiday_room": value})
        )
        yield found(
            "holiday_room",
            f"{plant.show(Kind.POINT, kept)} is kept while away; the policy asks for {plant.show(Kind.POINT, asked)}",
            {"kept": celsius_of(kept), "asked for": celsius_of(asked)},
            remedy,
        )


RULES: Final[tuple[Rule, ...]] = (
    antifreeze_too_weak,
    antifreeze_test_overdue,
    nobody_gets_an_alarm,
    room_below_insurers_condition,
)

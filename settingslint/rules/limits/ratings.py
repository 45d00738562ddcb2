"""Rules of the limits group about what limits protect: ratings, pressures, the vent, a reset by hand."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.water import atmosphere, boiling_point
from settingslint.rules.base import (
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    PROVEN,
    RESTORE_LIMIT,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import PA_PER_PSI, Celsius, Kind, celsius, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CSD_1

CAUTION: Final = ("limit",)

BOIL_MARGIN: Final = Threshold(
    "boiling_margin", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE, "minimum from the high limit to boiling",
    kelvin(5), kelvin(40), "common practice, no source: a limit and its sensor are wrong by up to 5 F", looser="down",
)  # fmt: skip
LOWEST_CUTOUT: Final = Threshold(
    "low_pressure_minimum", 5 * PA_PER_PSI, Kind.PRESSURE, COMMON_PRACTICE,
    "low-pressure cut-out below which it protects nothing, however low the building",
    3 * PA_PER_PSI, 12 * PA_PER_PSI,
    "common practice, no source: below 3 psi a gauge can't tell full from empty; 12 psi is a usual fill", looser="down",
)  # fmt: skip
ALARM_SHARE: Final = Threshold(
    "high_pressure_share", 0.9, Kind.RATIO, COMMON_PRACTICE, "share of the relief pressure at which an alarm is late",
    0.5, 0.95, "ASME BPVC section IV (from memory): a relief valve opens within some 5 % of its set pressure",
    looser="up",
)  # fmt: skip
PA_PER_METRE: Final = 9806.65
"""Of water at 1,000 kg/m3 under the standard acceleration of 9.80665 m/s2 (CGPM 1901)."""
PRESSURE_TOLERANCE: Final = 1.0
"""Pa within which two pressures count as the same; rounding, and no habit."""
USUAL_VENT_RATING: Final = {"pvc": celsius(149), "cpvc": celsius(194), "polypropylene": celsius(230)}
"""What plastic vents are usually listed for (from memory); the listing of the vent itself governs."""


@rule(
    "high-limit-above-rating",
    severity=DANGER,
    needs=("high_limit", "boiler.lowest_rated_part"),
    cautions=CAUTION,
    source=(CSD_1, ARITHMETIC),
    trips="boiler.lowest_rated_part = 205",
    passes="boiler.lowest_rated_part = 206",
)
def high_limit_above_rating(plant: Plant) -> Drafts:
    """The high limit is above the rating of a part of the system."""
    limit, rating = plant.point("high_limit"), plant.point("boiler.lowest_rated_part")
    if limit > rating + TOLERANCE:
        yield found(
            "high_limit",
            f"high limit {plant.show(Kind.POINT, limit)}, but a part of the system is rated for"
            f" {plant.show(Kind.POINT, rating)}",
            {"high limit": celsius_of(limit), "rating": celsius_of(rating)},
            RESTORE_LIMIT,
        )


@rule(
    "high-limit-near-boiling",
    severity=DANGER,
    certainty=LIKELY,
    needs=("high_limit", "low_pressure_cutout", "site.elevation"),
    cautions=CAUTION,
    source="saturation of water, IAPWS SR1-86",
    assumes="the pressure falls to the low-pressure cut-out",
    thresholds=(BOIL_MARGIN,),
    trips="settings.high_limit = 229",
    passes="settings.high_limit = 228",
)
def high_limit_near_boiling(plant: Plant) -> Drafts:
    """At the lowest pressure at which the boiler fires, water boils at or near the high limit.

    Boiling point at low-pressure cut-out plus the atmosphere at the site's elevation, against the high limit.
    """
    gauge = 0.0 if plant.is_off("low_pressure_cutout") else plant.number("low_pressure_cutout")
    boils = boiling_point(gauge + atmosphere(plant.number("site.elevation")))
    limit = plant.point("high_limit")
    if limit > boils - plant.threshold(BOIL_MARGIN) + TOLERANCE:
        yield found(
            "high_limit",
            f"high limit {plant.show(Kind.POINT, limit)}, and water boils at {plant.show(Kind.POINT, boils)} at"
            " the lowest pressure",
            {"boils at": celsius_of(boils), "high limit": celsius_of(limit)},
            "check the fill pressure; have a qualified person restore and test the maker's value",
        )


@rule(
    "high-limit-resets-by-itself",
    severity=DANGER,
    needs=("high_limit_reset", "site.manual_reset_required"),
    only_if={"site.manual_reset_required": (True,)},
    cautions=(*CAUTION, "law"),
    source=CSD_1,
    trips='settings.high_limit_reset = "automatic"',
    passes='settings.high_limit_reset = "manual"',
)
def high_limit_resets_by_itself(plant: Plant) -> Drafts:
    """The high limit resets by itself where local rules ask for a manual reset."""
    if plant.word("high_limit_reset") == "automatic":
        yield found(
            "high_limit_reset",
            "high limit resets by itself, local rules ask for a reset by hand",
            {},
            RESTORE_LIMIT,
        )


@rule(
    "flue-limit-above-vent-rating",
    severity=DANGER,
    needs=("flue_limit",),
    cautions=(*CAUTION, "firing"),
    source=(ARITHMETIC, "usual ratings of plastic vents (from memory); the listing governs"),
    assumes="the vent is listed as its material usually is",
    trips="vent.rating = 204",
    passes="vent.rating = 205",
)
def flue_limit_above_vent_rating(plant: Plant) -> Drafts:
    """The flue temperature limit is above the rating of the vent: plastic softens before the burner stops.

    The rating as listed; where only the material is recorded, what that is usually listed for.
    """
    limit, rating, material = plant.point("flue_limit"), plant.known("vent.rating"), plant.known("vent.material")
    usual = USUAL_VENT_RATING.get(str(material))
    if isinstance(rating, float):
        listed, certainty = Celsius(rating), PROVEN
        says = f"the vent is listed for {plant.show(Kind.POINT, listed)}"
    elif usual is not None and limit > usual + TOLERANCE:
        listed, certainty = usual, LIKELY
        says = f"a vent of {material} is usually listed for {plant.show(Kind.POINT, usual)}"
    else:
        raise Missing("vent.rating")
    if limit > listed + TOLERANCE:
        yield found(
            "flue_limit",
            f"flue limit {plant.show(Kind.POINT, limit)}, {says}",
            {"flue limit": celsius_of(limit), "vent rating": celsius_of(listed)},
            RESTORE_LIMIT,
            certainty=certainty,
        )


@rule(
    "difference-limit-off-or-wide",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("difference_limit", "boiler.maximum_difference"),
    cautions=(*CAUTION, "pump"),
    source=ARITHMETIC,
    assumes="nothing else watches the flow",
    trips="settings.difference_limit = 45",
    passes="settings.difference_limit = 44",
)
def difference_limit_off_or_wide(plant: Plant) -> Drafts:
    """The supply-return difference limit is off, or wider than the maker allows."""
    most = plant.difference("boiler.maximum_difference")
    if plant.is_off("difference_limit"):
        yield found(
            "difference_limit",
            f"supply-return difference limit is off, the maker allows {plant.show(Kind.DIFFERENCE, most)}",
            {},
            RESTORE_LIMIT,
        )
    elif plant.difference("difference_limit") > most + TOLERANCE:
        yield found(
            "difference_limit",
            f"supply-return difference limit {plant.show('difference_limit')}, the maker allows"
            f" {plant.show(Kind.DIFFERENCE, most)}",
            {"limit": kelvin_of(plant.difference("difference_limit")), "maximum": kelvin_of(most)},
            RESTORE_LIMIT,
        )


@rule(
    "low-pressure-cut-out-too-low",
    severity=DAMAGE,
    needs=("low_pressure_cutout",),
    cautions=CAUTION,
    source="height of the water column; the minimum is common practice, no source",
    thresholds=(LOWEST_CUTOUT,),
    trips="settings.low_pressure_cutout = 9.5",
    passes="settings.low_pressure_cutout = 9.6",
)
def low_pressure_cut_out_too_low(plant: Plant) -> Drafts:
    """The low-pressure cut-out is off, or lets the boiler fire without water at the top of the system.

    Compared: the cut-out with the height of the system as a water column, 1 psi for 2.31 ft, and with 5 psi.
    """
    if plant.is_off("low_pressure_cutout"):
        yield found("low_pressure_cutout", "low-pressure cut-out is off: the boiler can fire dry", {}, RESTORE_LIMIT)
        return
    cut, least = plant.number("low_pressure_cutout"), plant.threshold(LOWEST_CUTOUT)
    if cut < least - PRESSURE_TOLERANCE:
        yield found(
            "low_pressure_cutout",
            f"low-pressure cut-out {plant.show(Kind.PRESSURE, cut)} is so low that it protects nothing",
            {"cut-out": Quantity(cut, Kind.PRESSURE)},
            RESTORE_LIMIT,
        )
        return
    column = plant.number("water.static_height") * PA_PER_METRE
    if cut < column - PRESSURE_TOLERANCE:
        yield found(
            "low_pressure_cutout",
            f"low-pressure cut-out {plant.show(Kind.PRESSURE, cut)}, the water column alone gives"
            f" {plant.show(Kind.PRESSURE, column)}",
            {"cut-out": Quantity(cut, Kind.PRESSURE), "water column": Quantity(column, Kind.PRESSURE)},
            RESTORE_LIMIT,
        )


@rule(
    "pressure-alarm-near-relief",
    severity=OUTAGE,
    needs=("high_pressure_alarm", "water.relief_pressure"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(ALARM_SHARE,),
    trips="settings.high_pressure_alarm = 27",
    passes="settings.high_pressure_alarm = 26.9",
)
def pressure_alarm_near_relief(plant: Plant) -> Drafts:
    """The high-pressure alarm comes when the relief valve already opens.

    Alarm at 0.9 of the relief pressure or above.
    """
    alarm, relief = plant.number("high_pressure_alarm"), plant.number("water.relief_pressure")
    if alarm >= plant.threshold(ALARM_SHARE) * relief - PRESSURE_TOLERANCE:
        yield found(
            "high_pressure_alarm",
            f"high-pressure alarm {plant.show('high_pressure_alarm')}, the relief valve opens at"
            f" {plant.show('water.relief_pressure')}",
            {"alarm": Quantity(alarm, Kind.PRESSURE), "relief": Quantity(relief, Kind.PRESSURE)},
            "set the alarm well below the relief valve, by the maker's papers (qualified person)",
        )


RULES: Final[tuple[Rule, ...]] = (
    high_limit_above_rating,
    high_limit_near_boiling,
    high_limit_resets_by_itself,
    flue_limit_above_vent_rating,
    difference_limit_off_or_wide,
    low_pressure_cut_out_too_low,
    pressure_alarm_near_relief,
)

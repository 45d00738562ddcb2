"""Rules: limits and the working values below them. A working value is lowered; a limit never gets a figure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import title_of
from settingslint.rules.base import (
    LIKELY,
    OUTAGE,
    RESTORE_LIMIT,
    DoesNotApply,
    Draft,
    Drafts,
    Missing,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.derived.line import overshoot
from settingslint.rules.derived.need import NEED_FACTS, need_at_share
from settingslint.rules.heating.need import hottest_supplies
from settingslint.rules.limits.ratings import CAUTION
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, EN_442

MARGIN: Final = Threshold(
    "limit_margin", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE, "minimum from the hottest working value to a limit",
    kelvin(5), kelvin(40), "common practice, no source: a limit and its sensor are wrong by up to 5 F", looser="down",
)  # fmt: skip


@rule(
    "high-limit-too-near",
    severity=OUTAGE,
    cautions=(*CAUTION, "heating", "hot-water"),
    source=COMMON_PRACTICE,
    thresholds=(MARGIN,),
    trips="settings.heating_setpoint = 175",
    passes="settings.heating_setpoint = 174",
)
def high_limit_too_near(plant: Plant) -> Drafts:
    """A working temperature comes so near to a limit that cold weather or a hot-water call trips it.

    Lowest of operating limit and high limit - (hottest heating supply + overshoot) below 10 F, the overshoot as set or
    as the control has it; and the same for the boiler target during hot water, without an overshoot. The working value
    comes down; the limit is not raised.
    """
    limits: list[tuple[Celsius, str]] = []
    for name in ("operating_limit", "high_limit"):
        try:
            limits.append((plant.point(name), name))
        except Missing as lack:
            yield lack
        except DoesNotApply:
            continue
    if not limits:
        raise DoesNotApply("the control has no limit")
    looked = False
    for working_values in (_heating, _hot_water):
        try:
            for top, at, over in working_values(plant):
                looked = True
                yield from _too_near(plant, min(limits), top, at, over)
        except Missing as lack:
            yield lack
        except DoesNotApply:
            continue
    if not looked:
        raise DoesNotApply("the boiler sets no supply of its own")


def _heating(plant: Plant) -> list[tuple[Celsius, str, Kelvin]]:
    return [(supply, at, overshoot(plant)) for supply, at in hottest_supplies(plant)]


def _hot_water(plant: Plant) -> list[tuple[Celsius, str, Kelvin]]:
    if plant.word("hot_water.kind") not in ("tank", "plate"):
        return []
    name = "hot_water_boiler_setpoint"
    return [(plant.point(name), name, Kelvin(0.0))]


def _too_near(plant: Plant, nearest: tuple[Celsius, str], top: Celsius, at: str, over: Kelvin) -> Iterator[Draft]:
    """Yield a finding where a working value and its overshoot leave less than the margin to the nearest limit."""
    limit, limit_name = nearest
    margin, least = Kelvin(limit - top - over), plant.threshold(MARGIN)
    if margin >= least - TOLERANCE:
        return
    name = "heating_setpoint" if at == "reset_slope" else at
    value = attainable(plant, name, at_most=limit - over - least)
    remedy = Remedy("lower the working value; do not raise the limit")
    if value is not None:
        text = f"lower the {title_of(name)} to {plant.show(name, value)}; do not raise the limit"
        remedy = Remedy(text, {name: value})
    what = "reset line supply" if at == "reset_slope" else title_of(at)
    above = f" + {plant.show(Kind.DIFFERENCE, over)} overshoot" if over > 0 else ""
    far = f"{plant.show(Kind.DIFFERENCE, abs(margin))} {'below' if margin >= 0 else 'above'}"
    yield found(
        at,
        f"{what} {plant.show(Kind.POINT, top)}{above}: {far} {title_of(limit_name)} {plant.show(Kind.POINT, limit)}",
        {"working value": celsius_of(top), "overshoot": kelvin_of(over), title_of(limit_name): celsius_of(limit),
         "margin": kelvin_of(margin)},
        remedy,
    )  # fmt: skip


@rule(
    "operating-limit-below-hot-water-target",
    severity=OUTAGE,
    needs=("operating_limit", "hot_water_boiler_setpoint"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=(*CAUTION, "scald", "hygiene"),
    source=ARITHMETIC,
    thresholds=(MARGIN,),
    trips="settings.hot_water_boiler_setpoint = 191",
    passes="settings.hot_water_boiler_setpoint = 190",
)
def operating_limit_below_hot_water_target(plant: Plant) -> Drafts:
    """The operating limit is below the boiler target during hot water: the call never ends."""
    limit, target = plant.point("operating_limit"), plant.point("hot_water_boiler_setpoint")
    if target > limit + TOLERANCE:
        value = attainable(plant, "hot_water_boiler_setpoint", at_most=limit - plant.threshold(MARGIN))
        remedy = Remedy("lower the boiler target and check what the tank needs; do not raise the limit")
        if value is not None:
            shown = plant.show("hot_water_boiler_setpoint", value)
            text = f"lower the boiler target to {shown}, check what the tank needs; do not raise the limit"
            remedy = Remedy(text, {"hot_water_boiler_setpoint": value})
        yield found(
            "hot_water_boiler_setpoint",
            f"boiler target {plant.show(Kind.POINT, target)} is above operating limit {plant.show(Kind.POINT, limit)}",
            {"boiler target": celsius_of(target), "operating limit": celsius_of(limit)},
            remedy,
        )


@rule(
    "operating-limit-below-emitter-need",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("operating_limit", *NEED_FACTS),
    cautions=(*CAUTION, "heating"),
    source=(EN_442, COMMON_PRACTICE),
    assumes="design flow and emitters as recorded",
    thresholds=(MARGIN,),
    trips="settings.operating_limit = 167",
    passes="settings.operating_limit = 168",
)
def operating_limit_below_emitter_need(plant: Plant) -> Drafts:
    """The operating limit is below what the emitters need on the design day, or just above it.

    Often after limits were lowered at many sites: the boiler stops at the limit in the coldest week.
    Need of the unmixed emitters on the design day + 10 F, against the limit.
    """
    limit, wanted = plant.point("operating_limit"), need_at_share(plant, 1.0)
    if limit < wanted + plant.threshold(MARGIN) - TOLERANCE:
        yield found(
            "operating_limit",
            f"operating limit {plant.show(Kind.POINT, limit)} too near the emitters' need of"
            f" {plant.show(Kind.POINT, wanted)} on the design day",
            {"operating limit": celsius_of(limit), "need": celsius_of(wanted)},
            RESTORE_LIMIT,
        )


RULES: Final[tuple[Rule, ...]] = (
    high_limit_too_near,
    operating_limit_below_hot_water_target,
    operating_limit_below_emitter_need,
)

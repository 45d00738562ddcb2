"""Rules of the heating group about the return: condensing where it should, and nowhere else."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import title_of
from settingslint.physics.condensing import condensing_starts
from settingslint.rules.base import (
    DAMAGE,
    LIKELY,
    WASTE,
    WITHOUT_WEATHER,
    DoesNotApply,
    Drafts,
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
)
from settingslint.rules.derived.line import (
    fixed_supply_is_ordinary,
    line,
    on,
    own_fixed_supply,
    own_line,
    own_supply,
    top,
)
from settingslint.rules.derived.need import NEED_FACTS, drop_at_design, heating_range, load_fraction, need, weighted
from settingslint.rules.derived.output import dew_point
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.sources import APPLIANCE_RULE, COMMON_PRACTICE, EN_442

ABOVE_MILD_NEED: Final = Threshold(
    "minimum_above_need", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far a minimum supply may be above what mild weather needs",
    kelvin(2), kelvin(30), "common practice, no source: 30 F above the need is a boiler that never turns down",
    looser="up",
)  # fmt: skip
SHARE_ABOVE: Final = Threshold(
    "share_above_need", 0.5, Kind.RATIO, COMMON_PRACTICE, "share of the heating time that it may be so far above",
    0.2, 0.9, "common practice, no source: a fifth of the time is a mild spell, nine tenths the whole winter",
    looser="up",
)  # fmt: skip


@rule(
    "hot-fixed-supply-on-condensing-boiler",
    severity=WASTE,
    certainty=LIKELY,
    needs=("heating_setpoint", *NEED_FACTS, "gas.fuel"),
    only_if={"boiler.condensing": (True,)},
    applies=own_fixed_supply,
    cautions=("heating", "law"),
    source=(APPLIANCE_RULE, COMMON_PRACTICE),
    assumes="design flow",
    trips="settings.reset = false",
    passes="settings.heating_setpoint = 145",
)
def hot_fixed_supply_on_condensing_boiler(plant: Plant) -> Drafts:
    """A condensing boiler without reset runs so hot that it never condenses.

    Hot radiators on a mild day, a dry condensate drain, gas use no better than the old boiler's. Coldest return = fixed
    supply - drop on the design day; compared with the flue gas dew point by fuel and CO2. Not asked where coils, pools
    or a shared hot-water target need the same supply in all weathers.
    """
    if fixed_supply_is_ordinary(plant):
        raise DoesNotApply("a fixed supply is ordinary here")
    supply, at = top(plant)
    target = plant.known("heating_target_difference")
    drop = max(drop_at_design(plant), target if isinstance(target, float) else 0.0)
    back, dew = Celsius(supply - drop), dew_point(plant)
    if back < dew - TOLERANCE:
        return
    remedy = Remedy("use outdoor reset, or lower the supply to what the emitters need")
    if plant.typed("reset") is False and plant.known("accessories.outdoor_sensor") is True:
        remedy = Remedy("switch outdoor reset on and check its line", {"reset": True})
    yield found(
        at,
        f"supply fixed at {plant.show(Kind.POINT, supply)}: coldest return {plant.show(Kind.POINT, back)}, dew point"
        f" about {plant.show(Kind.POINT, dew)}; it never condenses",
        {"supply": celsius_of(supply), "coldest return": celsius_of(back), "dew point": celsius_of(dew)},
        remedy,
    )


@rule(
    "noncondensing-return-below-dew-point",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("heating_setpoint", *NEED_FACTS, "building.balance_point", "gas.fuel"),
    only_if={"boiler.condensing": (False,)},
    applies=own_supply,
    cautions=("combustion", "heating"),
    source=COMMON_PRACTICE,
    assumes=("design flow", "dew point from the recorded CO2, else from 25 % excess air"),
    trips='boiler.condensing = false, piping.return_protection = false, settings.minimum_return = "off"',
    passes="settings.minimum_return = 140",
)
def noncondensing_return_below_dew_point(plant: Plant) -> Drafts:
    """A boiler that must not condense gets return water below the dew point of its flue gas.

    Rusted flueways, white scale, holes in the vent connector within a season or two. Return = effective supply - drop
    on the design day x load share, from the design day to the balance point. A minimum return, or piping that keeps the
    return warm, clears it. A high limit does not protect: the supply settles where load and output meet.
    """
    effective, dew, drop = line(plant), dew_point(plant), drop_at_design(plant)
    cold, warm = heating_range(plant)
    starts = condensing_starts(effective, lambda o: Kelvin(drop * load_fraction(plant, o)), dew, cold, warm)
    kept = plant.known("minimum_return")
    if (
        starts is None
        or (isinstance(kept, float) and kept >= dew - TOLERANCE)
        or plant.flag("piping.return_protection")
    ):
        return
    remedy = Remedy("fit a mixing valve or bypass that keeps the return warm")
    name, enough = ("minimum_return", dew) if plant.has("minimum_return") else ("minimum_supply", dew + drop)
    value = attainable(plant, name, at_least=enough) if plant.has(name) else None
    if value is not None:
        text = f"set {title_of(name)} to {plant.show(name, value)}; check that the piping can hold it"
        remedy = Remedy(text, {name: value})
    yield found(
        "minimum_return" if plant.has("minimum_return") else "heating_setpoint",
        f"return below the dew point (about {plant.show(Kind.POINT, dew)}) above {plant.show(Kind.POINT, starts)}"
        " outdoors; nothing keeps it warm",
        {"dew point": celsius_of(dew), "from outdoors": celsius_of(starts)},
        remedy,
    )


@rule(
    "minimum-supply-above-mild-need",
    severity=WASTE,
    certainty=LIKELY,
    needs=("minimum_supply", *NEED_FACTS, "building.balance_point"),
    only_if={"boiler.condensing": (True,)},
    applies=on("minimum_supply"),
    cautions=("heating",),
    source=(EN_442, COMMON_PRACTICE),
    assumes=WITHOUT_WEATHER,
    thresholds=(ABOVE_MILD_NEED, SHARE_ABOVE),
    trips="settings.minimum_supply = 150",
    passes="settings.minimum_supply = 110",
)
def minimum_supply_above_mild_need(plant: Plant) -> Drafts:
    """The minimum supply is above what the emitters need for more than half of the heating time.

    Overheating and cycling in spring, and a line that does nothing. Counted are the hours in which the minimum holds
    the supply up, above the need plus a margin. Not asked where a plate needs the minimum.
    """
    floor = plant.point("minimum_supply")
    if plant.word("hot_water.kind") == "plate":
        raise DoesNotApply("a plate may need the minimum")
    effective, margin = own_line(plant), plant.threshold(ABOVE_MILD_NEED)
    hours = weighted(plant)
    over = [
        (outdoor, weight)
        for outdoor, weight in hours
        if effective.supply(outdoor) == floor and floor - need(plant, outdoor) > margin + TOLERANCE
    ]
    share = sum(weight for _, weight in over)
    if share <= plant.threshold(SHARE_ABOVE) + TOLERANCE:
        return
    passed, middle = 0.0, hours[0][0]
    for outdoor, weight in hours:
        passed += weight
        if passed >= 0.5:
            middle = outdoor
            break
    lower = attainable(plant, "minimum_supply", at_most=need(plant, middle) + margin)
    yield found(
        "minimum_supply",
        f"minimum supply {plant.show('minimum_supply')} is over {plant.show(Kind.DIFFERENCE, margin)} above the need"
        f" for {share:.0%} of the heating time",
        {
            "minimum supply": celsius_of(floor),
            "from outdoors": celsius_of(over[0][0]),
            "share": Quantity(share, Kind.RATIO),
        },
        Remedy(f"lower the minimum supply to {plant.show('minimum_supply', lower)}", {"minimum_supply": lower})
        if lower
        else None,
    )


RULES: Final[tuple[Rule, ...]] = (
    hot_fixed_supply_on_condensing_boiler,
    noncondensing_return_below_dew_point,
    minimum_supply_above_mild_need,
)

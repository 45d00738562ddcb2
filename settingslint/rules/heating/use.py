"""Rules of the heating group about calls, setback, season and rooms."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.cooldown import drop as room_drop
from settingslint.physics.emitter import output_ratio
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Quantity,
    Remedy,
    celsius_of,
    found,
    kelvin_of,
    watts_of,
)
from settingslint.rules.derived.line import on
from settingslint.rules.derived.need import hottest_emitter
from settingslint.rules.derived.output import heating_output
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Kelvin, Kind
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import COMMON_PRACTICE, EN_442


@rule(
    "night-setback-recovers-late",
    severity=WASTE,
    certainty=LIKELY,
    needs=(
        "night_setback", "night_setback_hours", "building.cooldown_time_constant", "building.setback_warm_up",
        "building.design_load", "building.balance_point", "building.indoor_design", "site.design_outdoor",
        "boiler.efficiency",
    ),
    applies=on("night_setback"),
    cautions=("heating", "freeze"),
    source=(EN_442, COMMON_PRACTICE),
    assumes=("one time constant for the building", "all spare output goes into warm-up"),
    trips='settings.night_setback = 30, settings.night_setback_hours = 8',
    passes='settings.night_setback = 2',
)  # fmt: skip
def night_setback_recovers_late(plant: Plant) -> Drafts:
    """After a night setback in design weather the warm-up takes longer than the morning allows.

    Share left = ((mean - setback - room)/(mean - room))^n; fall = (1 - share)(room - outdoor)(1 - exp(-hours/time
    constant)); recovery = time constant x load per degree x fall/(output - load).
    """
    setback, hours = plant.difference("night_setback"), plant.number("night_setback_hours")
    room, outdoor = plant.point("building.indoor_design"), plant.point("site.design_outdoor")
    constant, allowed = plant.number("building.cooldown_time_constant"), plant.number("building.setback_warm_up")
    load = plant.number("building.design_load")
    hottest = hottest_emitter(plant)
    excess = Kelvin((hottest.design_supply + hottest.design_return) / 2 - room)
    share = output_ratio(Kelvin(max(0.0, excess - setback)), excess, hottest.exponent)
    without_heat = room_drop(room, outdoor, hours, constant)
    fall = Kelvin((1 - share) * without_heat)
    storage = constant * load / (plant.point("building.balance_point") - outdoor)
    spare = heating_output(plant) - load
    if spare > 0 and storage * fall / spare <= allowed + TOLERANCE:
        return
    setback_text = f"night setback of {plant.show('night_setback')}"
    text = f"after {setback_text} on the design day no output is left to warm up"
    if spare > 0:
        takes, at_most = plant.show(Kind.HOURS, storage * fall / spare), plant.show("building.setback_warm_up")
        text = f"{setback_text}: warm-up on the design day takes {takes}, allowed {at_most}"
    allowed_share = max(0.0, 1 - max(0.0, spare) * allowed / storage / without_heat)
    shallow = attainable(plant, "night_setback", at_most=excess * (1 - allowed_share ** (1 / hottest.exponent)))
    value = OFF if not shallow or shallow <= TOLERANCE else shallow
    yield found(
        "night_setback",
        text,
        {"fall of the rooms": kelvin_of(fall), "spare output": watts_of(spare), "outdoors": celsius_of(outdoor)},
        Remedy(
            f"set night setback to {plant.show('night_setback', value)}, or start the warm-up earlier in hard weather",
            {"night_setback": value},
        ),
    )


@rule(
    "call-source-does-not-match-wiring",
    severity=OUTAGE,
    certainty=ASK,
    needs=("call_source",),
    cautions=("electric",),
    source=COMMON_PRACTICE,
    trips='settings.call_source = "bus room unit"',
    passes="accessories.room_unit = true",
)
def call_source_does_not_match_wiring(plant: Plant) -> Drafts:
    """The source of the heating call does not match what is wired.

    No heat though the thermostat calls, or heat that never stops. A bus room unit needs a room unit, an external signal
    needs its module, and "always" ignores the end switches of zone valves.
    """
    facts = {
        "bus room unit": ("accessories.room_unit", False, "no room unit is recorded"),
        "external signal": ("accessories.bus_module", False, "no signal module is recorded"),
        "always": ("piping.calls_have_end_switches", True, "zone valves call by their end switches"),
    }
    source = plant.word("call_source")
    if source not in facts:
        raise DoesNotApply(source)
    fact, wrong, text = facts[source]
    if plant.flag(fact) is wrong:
        yield found(
            "call_source",
            f'call source is set to "{source}"; {text}',
            remedy="check the wiring, then set the call source to match it",
        )


@rule(
    "heating-off-in-season",
    severity=OUTAGE,
    needs=("heating_enabled", "operating_mode"),
    cautions=("freeze", "heating"),
    source=COMMON_PRACTICE,
    trips='settings.operating_mode = "summer"',
    passes="site.heating_months_first = 12, site.heating_months_last = 2",
)
def heating_off_in_season(plant: Plant) -> Drafts:
    """Heating is off, or the mode takes no heating calls, in a month of the site's heating season.

    The date of the check is compared with the recorded season. Not asked of vacant and seasonal sites.
    """
    off = [name for name in ("heating_enabled", "operating_mode") if _no_heat(plant, name)]
    if not off or plant.word("site.occupants") in ("vacant", "seasonal", "none"):
        return
    first, last = plant.number("site.heating_months_first"), plant.number("site.heating_months_last")
    month = plant.as_of.month
    if not (first <= month <= last if first <= last else month >= first or month <= last):
        return
    remedy = Remedy(
        "do the winter changeover: heating on, mode normal", {"heating_enabled": True, "operating_mode": "normal"}
    )
    for name in off:
        text = "heating is off" if name == "heating_enabled" else f"operating mode is {plant.show(name)}"
        yield found(
            name,
            f"{text} on {plant.as_of:%Y-%m-%d}; the heating season is month {first:.0f} to {last:.0f}",
            {"month": Quantity(month, Kind.COUNT)},
            remedy,
        )


def _no_heat(plant: Plant, name: str) -> bool:
    return plant.value(name) in (False, "summer", "standby")


@rule(
    "room-influence-with-disturbed-room",
    severity=WASTE,
    certainty=ASK,
    needs=("room_influence",),
    only_if={"accessories.room_unit": (True,)},
    applies=on("room_influence"),
    cautions=("heating",),
    source=COMMON_PRACTICE,
    trips=("settings.room_influence = 30, accessories.room_unit = true, building.reference_room_disturbed = true"),
    passes="building.reference_room_disturbed = false",
)
def room_influence_with_disturbed_room(plant: Plant) -> Drafts:
    """The whole building follows a room that sun, a stove or its own valve disturbs.

    Room influence is above 0 and the room unit's room is recorded as disturbed.
    """
    influence = plant.number("room_influence")
    if influence > 0 and plant.flag("building.reference_room_disturbed"):
        yield found(
            "room_influence",
            f"room influence is {plant.show('room_influence')}, from a room that sun, a stove or a valve disturbs",
            {"room influence": Quantity(influence, Kind.PERCENT)},
            Remedy("switch room influence off, or move the room unit", {"room_influence": OFF}),
        )


@rule(
    "hot-water-heat-left-for-floor",
    severity=DAMAGE,
    certainty=ASK,
    needs=("hot_water_boiler_setpoint", "hot_water_overrun", "emitter"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("heating", "limit"),
    source=COMMON_PRACTICE,
    trips=(
        'emitter = [{ kind = "heated floor", design_supply = 104, design_return = 90, maximum_supply = 120, '
        "mixed = false }], "
        "settings.hot_water_overrun = 0"
    ),
    passes="settings.hot_water_overrun = 3",
)
def hot_water_heat_left_for_floor(plant: Plant) -> Drafts:
    """After a hot-water call the boiler's hot water goes into a floor that may not get it.

    No hot-water pump overrun cools the boiler down first, and an unmixed floor's maximum is below the boiler's target
    during hot water.
    """
    target, overrun = plant.point("hot_water_boiler_setpoint"), plant.number("hot_water_overrun")
    floors = [
        index
        for index in plant.emitters
        if plant.word(f"emitter[{index}].kind") == "heated floor" and not plant.flag(f"emitter[{index}].mixed")
    ]
    if not floors:
        raise DoesNotApply("no unmixed floor")
    limit = min(plant.point(f"emitter[{index}].maximum_supply") for index in floors)
    if overrun > 0 or target <= limit + TOLERANCE:
        return
    longer = attainable(plant, "hot_water_overrun", at_least=120.0)
    yield found(
        "hot_water_overrun",
        f"boiler is at {plant.show(Kind.POINT, target)} after hot water, no overrun; unmixed floor: at most"
        f" {plant.show(Kind.POINT, limit)}",
        {"boiler target": celsius_of(target), "limit": celsius_of(limit)},
        Remedy(
            f"set hot-water pump overrun to {plant.show('hot_water_overrun', longer)}, or fit a mixing valve",
            {"hot_water_overrun": longer},
        )
        if longer
        else Remedy("fit a mixing valve for the floor"),
    )


RULES: Final[tuple[Rule, ...]] = (
    night_setback_recovers_late,
    call_source_does_not_match_wiring,
    heating_off_in_season,
    room_influence_with_disturbed_room,
    hot_water_heat_left_for_floor,
)

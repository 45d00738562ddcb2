"""Rules: does the burner start too often, and do the band and the rest time help."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.cycling import buffer_volume, cycle, cycling_starts_at
from settingslint.physics.water import heat_capacity_of
from settingslint.rules.base import (
    ASK,
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
    kelvin_of,
    minutes_of,
    watts_of,
)
from settingslint.rules.derived.line import band, on, overshoot
from settingslint.rules.derived.need import heating_range, weighted
from settingslint.rules.derived.output import minimum_output
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

SHORTEST_CYCLE: Final = Threshold(
    "shortest_cycle", 600.0, Kind.MINUTES, "a rule of trade education, no source", "shortest time from start to start",
    180.0, 1800.0, "common practice, no source: in less than 3 min no burner settles", looser="down",
)  # fmt: skip
CYCLING_SHARE: Final = Threshold(
    "cycling_share", 0.5, Kind.RATIO, COMMON_PRACTICE, "share of the heating time that the burner may cycle",
    0.2, 0.9, "common practice, no source: a burner that cycles nine tenths of the time cycles always", looser="up",
)  # fmt: skip
SAG: Final = Threshold(
    "rest_sag", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far the water may fall below the start temperature while the burner must rest",
    kelvin(3), kelvin(30), "common practice, no source: 30 F is felt in the rooms", looser="up",
)  # fmt: skip
STARTS: Final = Threshold(
    "starts_per_burner_hour", 6.0, Kind.RATIO, COMMON_PRACTICE, "burner starts in each burner hour",
    2.0, 12.0, "common practice, no source: 12 starts leave five minutes for each", looser="up",
)  # fmt: skip

MEAN_WATER: Final = Celsius(60.0)
CYCLE_FACTS: Final = ("heating_differential", "water.system_volume", "boiler.efficiency")


def _rest(plant: Plant) -> float:
    """Return the rest between two firings that the control insists on, s; 0 where it has none."""
    if not plant.has("minimum_off_time") or plant.is_off("minimum_off_time"):
        return 0.0
    return plant.number("minimum_off_time")


def shortest_cycle(plant: Plant, rest: float) -> float:
    """Return the shortest time from start to start at low fire over all loads, s, with a rest in between, s.

    Without a rest it is 4 C band/Qmin, at half of low fire. A rest longer than the water's own off time stretches the
    cycle; it then is shortest at the load at which the rest just begins to count, C band/rest.
    """
    volume, width, low_fire = plant.number("water.system_volume"), band(plant), minimum_output(plant)
    load = low_fire / 2
    if rest > 0:
        load = min(load, heat_capacity_of(volume, MEAN_WATER) * width / rest)
    one = cycle(volume, width, low_fire, load)
    return one.on_s + one.off_s


@rule(
    "low-fire-above-load-for-most-hours",
    severity=WASTE,
    certainty=LIKELY,
    needs=("building.design_load", "building.balance_point", "site.design_outdoor", "boiler.efficiency"),
    cautions=("heating",),
    source=(ARITHMETIC, COMMON_PRACTICE),
    assumes=("a load that follows the outdoor temperature", WITHOUT_WEATHER),
    thresholds=(CYCLING_SHARE,),
    trips="building.design_load = 25000",
    passes="building.design_load = 40000",
)
def low_fire_above_load_for_most_hours(plant: Plant) -> Drafts:
    """Low fire gives more than the building needs for much of the heating time, so the burner has to cycle.

    It cycles above balance - low fire/design load x (balance - design) outdoors. Only the maker's papers allow a lower
    low fire.
    """
    low_fire, load = minimum_output(plant), plant.number("building.design_load")
    cold, _ = heating_range(plant)
    from_outdoors = cycling_starts_at(low_fire, load, plant.point("building.balance_point"), cold)
    share = sum(weight for outdoor, weight in weighted(plant) if outdoor > from_outdoors)
    if share <= plant.threshold(CYCLING_SHARE) + TOLERANCE:
        return
    where = f"above {plant.show(Kind.POINT, from_outdoors)} outdoors" if from_outdoors > cold else "in all weathers"
    yield found(
        "boiler.input_minimum",
        f"low fire, about {plant.show(Kind.POWER, low_fire)}, exceeds the load {where}: {share:.0%} of heating time",
        {"low fire": watts_of(low_fire), "from outdoors": celsius_of(from_outdoors)},
        "let zones call together, widen the differential or add water",
    )


@rule(
    "differential-too-narrow",
    severity=WASTE,
    needs=CYCLE_FACTS,
    cautions=("heating", "limit"),
    source=(ARITHMETIC, COMMON_PRACTICE),
    thresholds=(SHORTEST_CYCLE,),
    trips="water.system_volume = 5, settings.heating_differential = 4",
    passes="settings.heating_differential = 12",
)
def differential_too_narrow(plant: Plant) -> Drafts:
    """The switching band is so narrow that the burner starts too often.

    Even if all of the water takes part: shortest cycle = 4 x heat capacity x band/low fire, at half of low fire. The
    band is the differential plus what the water may rise above the set point. A minimum off time is counted in.
    """
    time, wanted = shortest_cycle(plant, _rest(plant)), plant.threshold(SHORTEST_CYCLE)
    if time >= wanted - TOLERANCE:
        return
    capacity = heat_capacity_of(plant.number("water.system_volume"), MEAN_WATER)
    enough = wanted * minimum_output(plant) / (4 * capacity)
    wider = attainable(plant, "heating_differential", at_least=enough - overshoot(plant))
    remedy = Remedy("add water or let zones call together: the differential can't go wide enough")
    if wider is not None:
        text = f"widen the differential to {plant.show('heating_differential', wider)}, then check the limits"
        remedy = Remedy(text, {"heating_differential": wider})
    yield found(
        "heating_differential",
        f"band of {plant.show(Kind.DIFFERENCE, band(plant))} in {plant.show('water.system_volume')} of water:"
        f" a start every {plant.show(Kind.MINUTES, time)} at low fire",
        {"shortest cycle": minutes_of(time), "band": kelvin_of(band(plant))},
        remedy,
    )


@rule(
    "rest-time-off",
    severity=WASTE,
    needs=("minimum_off_time", *CYCLE_FACTS),
    cautions=("heating",),
    source=(ARITHMETIC, COMMON_PRACTICE),
    thresholds=(SHORTEST_CYCLE,),
    trips='water.system_volume = 5, settings.heating_differential = 4, settings.minimum_off_time = "off"',
    passes="settings.minimum_off_time = 4",
)
def rest_time_off(plant: Plant) -> Drafts:
    """The minimum off time is off, and the band alone lets the burner start too often."""
    if _rest(plant) > 0:
        return
    time, wanted = shortest_cycle(plant, 0.0), plant.threshold(SHORTEST_CYCLE)
    if time >= wanted - TOLERANCE:
        return
    enough = next((60.0 * minutes for minutes in range(1, 31) if shortest_cycle(plant, 60.0 * minutes) >= wanted), None)
    value = attainable(plant, "minimum_off_time", at_least=enough) if enough is not None else None
    yield found(
        "minimum_off_time",
        f"no minimum off time: the band alone lets the burner start every {plant.show(Kind.MINUTES, time)}",
        {"shortest cycle": minutes_of(time)},
        Remedy(
            f"set a minimum off time of {plant.show('minimum_off_time', value)}, or widen the differential",
            {"minimum_off_time": value},
        )
        if value is not None
        else Remedy("widen the differential"),
    )


@rule(
    "rest-time-lets-water-sag",
    severity=WASTE,
    certainty=LIKELY,
    needs=("minimum_off_time", "building.design_load", *CYCLE_FACTS),
    applies=on("minimum_off_time"),
    cautions=("heating", "hot-water"),
    source=ARITHMETIC,
    assumes="all of the system's water takes part",
    thresholds=(SAG,),
    trips="water.system_volume = 8, settings.minimum_off_time = 20",
    passes="water.system_volume = 95",
)
def rest_time_lets_water_sag(plant: Plant) -> Drafts:
    """The minimum off time is so long that the water falls far below the burner's start temperature.

    Fall = load x rest/heat capacity, at the highest load at which the burner still cycles; less the band.
    """
    rest = _rest(plant)
    load = min(minimum_output(plant), plant.number("building.design_load"))
    capacity = heat_capacity_of(plant.number("water.system_volume"), MEAN_WATER)
    below = Kelvin(load * rest / capacity - band(plant))
    if below <= plant.threshold(SAG) + TOLERANCE:
        return
    longest = (band(plant) + plant.threshold(SAG)) * capacity / load
    shorter = attainable(plant, "minimum_off_time", at_most=longest)
    value = shorter or OFF
    yield found(
        "minimum_off_time",
        f"minimum off time {plant.show('minimum_off_time')}: water falls {plant.show(Kind.DIFFERENCE, below)} below the"
        " burner's start temperature",
        {"below the start temperature": kelvin_of(below)},
        Remedy(
            f"set the minimum off time to {plant.show('minimum_off_time', value)}, or add water",
            {"minimum_off_time": value},
        ),
    )


@rule(
    "small-zones-on-low-mass-boiler",
    severity=WASTE,
    certainty=ASK,
    needs=("piping.smallest_zone", "piping.topology", *CYCLE_FACTS),
    only_if={"boiler.heat_exchanger": ("low mass",)},
    cautions=("heating", "pump"),
    source=(ARITHMETIC, COMMON_PRACTICE),
    thresholds=(SHORTEST_CYCLE,),
    trips='boiler.heat_exchanger = "low mass", piping.smallest_zone = 4000, water.system_volume = 6',
    passes="water.system_volume = 95",
)
def small_zones_on_low_mass_boiler(plant: Plant) -> Drafts:
    """The smallest zone takes less than half of low fire, and there is too little water to prevent short cycling.

    Water for a burn of the shortest cycle = time x (low fire - zone)/(heat capacity of a litre x band).
    """
    if plant.word("piping.topology") == "buffer":
        raise DoesNotApply("there is a buffer")
    zone, low_fire = plant.number("piping.smallest_zone"), minimum_output(plant)
    if zone >= low_fire / 2 - TOLERANCE:
        return
    volume = plant.number("water.system_volume")
    wanted = buffer_volume(plant.threshold(SHORTEST_CYCLE), band(plant), low_fire, zone)
    if volume >= wanted - TOLERANCE:
        return
    yield found(
        "piping.smallest_zone",
        f"smallest zone takes {plant.show('piping.smallest_zone')}: needs {plant.show(Kind.VOLUME, wanted)} of water,"
        f" has {plant.show('water.system_volume')}",
        {"water needed": Quantity(wanted, Kind.VOLUME), "low fire": watts_of(low_fire)},
        "ask how it runs on that zone alone; then add a buffer or join zones",
    )


@rule(
    "many-starts-for-burner-hours",
    severity=WASTE,
    needs=("counters.starts", "counters.burner_hours"),
    cautions=("heating",),
    source=COMMON_PRACTICE,
    thresholds=(STARTS,),
    trips="counters.starts = 12000",
    passes="counters.starts = 9000",
)
def many_starts_for_burner_hours(plant: Plant) -> Drafts:
    """The counters show too many burner starts for the burner hours."""
    starts, hours = plant.number("counters.starts"), plant.number("counters.burner_hours") / 3600
    if hours <= 0:
        raise DoesNotApply("the burner has not run")
    if starts / hours <= plant.threshold(STARTS) + TOLERANCE:
        return
    yield found(
        "counters.starts",
        f"{starts:,.0f} starts in {hours:,.0f} burner hours: {starts / hours:.1f} an hour",
        {"starts an hour": Quantity(starts / hours, Kind.RATIO)},
        "check low fire, differential, zones and minimum off time",
    )


RULES: Final[tuple[Rule, ...]] = (
    low_fire_above_load_for_most_hours,
    differential_too_narrow,
    rest_time_off,
    rest_time_lets_water_sag,
    small_zones_on_low_mass_boiler,
    many_starts_for_burner_hours,
)

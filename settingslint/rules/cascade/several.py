"""Rules about the boilers of one group, and about those of one site."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import Value, title_of
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    RECORD,
    WASTE,
    Draft,
    Missing,
    Quantity,
    Threshold,
    found,
    watts_of,
)
from settingslint.rules.rule import Rule, rule
from settingslint.rules.summary import Plants, Summary
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING, LIMITS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

Many = Iterator[tuple[Summary, Draft | Missing]]
CAUTION: Final = ("cascade",)
HOURS_APART: Final = Threshold(
    "burner_hours_apart", 1.3, Kind.RATIO, COMMON_PRACTICE,
    "ratio of the burner hours of two boilers up to which they share the work",
    1.05, 3.0, "common practice, no source: three to one is no shared work", looser="up",
)  # fmt: skip
TWINS: Final = tuple(sorted((FIRING | LIMITS) - {"vent_length_setting"}))
"""What must be alike on boilers of one kind and size: the burner and the limits. Vents may differ in length."""


def _role(plant: Summary) -> Value | None:
    return plant.settings.get("cascade_role")


def _leaders(plants: Sequence[Summary]) -> list[Summary]:
    return [plant for plant in plants if _role(plant) == "leader"]


def _fact(plants: Sequence[Summary], name: str) -> list[float] | None:
    """Return a number of every plant, or None where one does not record it."""
    values = [plant.facts.get(name) for plant in plants]
    return [value for value in values if isinstance(value, float)] if all(values) else None


def _lacks(plants: Sequence[Summary], *names: str) -> Many:
    """Yield what each plant lacks of these facts."""
    for plant in plants:
        for name in names:
            if not isinstance(plant.facts.get(name), float):
                yield plant, Missing(name)


@rule("two-leaders", severity=OUTAGE, cautions=CAUTION, source=COMMON_PRACTICE, scope="group")
def two_leaders(plants: Sequence[Summary]) -> Many:
    """Two boilers of one group are set to lead it: they work against each other.

    Counted over the profiles of one site with one `plant.group`.
    """
    leaders = _leaders(plants)
    for plant in leaders[1:]:
        yield (
            plant,
            found(
                "cascade_role",
                f"second leader of the group, beside {leaders[0].name}",
                {},
                "keep one leader and make the others followers",
            ),
        )


@rule("group-without-leader", severity=OUTAGE, cautions=CAUTION, source=COMMON_PRACTICE, scope="group")
def group_without_leader(plants: Sequence[Summary]) -> Many:
    """None of the boilers of a group is set to lead it.

    Not asked where a building automation leads by its signal.
    """
    if _leaders(plants) or len(plants) < 2:
        return
    for plant in plants:
        role = _role(plant)
        if role is None:
            yield plant, Missing("cascade_role")
        elif plant.settings.get("external_signal") not in ("temperature", "firing rate"):
            yield (
                plant,
                found(
                    "cascade_role",
                    f"cascade role is {role}, and none of the {len(plants)} boilers of the group leads",
                    {},
                    "make one of them the leader, or record what leads them",
                ),
            )


@rule("cascade-address-twice", severity=OUTAGE, cautions=CAUTION, source=COMMON_PRACTICE, scope="group")
def cascade_address_twice(plants: Sequence[Summary]) -> Many:
    """Two boilers of one group have the same cascade address: one of them gets no commands."""
    first: dict[Value, Summary] = {}
    for plant in plants:
        number = plant.settings.get("cascade_address")
        if number is None:
            if _role(plant) in ("leader", "follower"):
                yield plant, Missing("cascade_address")
        elif first.setdefault(number, plant) is not plant:
            yield (
                plant,
                found(
                    "cascade_address",
                    f"cascade address {plant.show('cascade_address')} is also that of {first[number].name}",
                    {},
                    "give each boiler an address of its own",
                ),
            )


@rule("twins-not-alike", severity=DANGER, cautions=("firing", "combustion", "limit"), source=COMMON_PRACTICE,
      scope="group")  # fmt: skip
def twins_not_alike(plants: Sequence[Summary]) -> Many:
    """Boilers of one group, control and size differ in firing, fuel or a limit: one has not the maker's value.

    Compared: everything of the burner and the limits, at the values that they run at. Which one is right, only the
    maker's papers and the analyser can tell.
    """
    kinds: dict[tuple[str, str | None], list[Summary]] = {}
    for plant in plants:
        kinds.setdefault((plant.control, plant.size), []).append(plant)
    for twins in kinds.values():
        for name in TWINS:
            for plant in twins[1:]:
                one, other = twins[0].settings.get(name), plant.settings.get(name)
                if one is None or other is None:
                    if one is not other or name in plant.unknown:
                        yield plant if other is None else twins[0], Missing(name)
                elif not same(one, other):
                    yield (
                        plant,
                        found(
                            name,
                            f"{title_of(name)} is {plant.show(name)}, not the same as on its twin {twins[0].name}",
                            {},
                            "find out which has the maker's value; licensed gas technician; prove combustion",
                        ),
                    )


@rule("follower-at-odds-with-leader", severity=WASTE, cautions=CAUTION, source=COMMON_PRACTICE, scope="group")
def follower_at_odds_with_leader(plants: Sequence[Summary]) -> Many:
    """A follower has a lower maximum or an earlier shutdown than its leader: it does not help when it is needed.

    Compared: heating set point, maximum supply, warm-weather shutdown.
    """
    leaders = _leaders(plants)
    if len(leaders) != 1:
        return
    for plant in plants:
        if _role(plant) != "follower":
            continue
        for name in ("heating_setpoint", "maximum_supply", "warm_weather_shutdown"):
            own, lead = plant.settings.get(name), leaders[0].settings.get(name)
            if isinstance(own, float) and isinstance(lead, float) and own < lead - TOLERANCE:
                yield (
                    plant,
                    found(
                        name,
                        f"{title_of(name)} is {plant.show(name)}, below the leader's {plant.show(name, lead)}",
                        {},
                        f"set it to the leader's {plant.show(name, lead)}",
                    ),
                )


@rule("burner-hours-apart", severity=WASTE, cautions=CAUTION, source=COMMON_PRACTICE, scope="group",
      thresholds=(HOURS_APART,))  # fmt: skip
def burner_hours_apart(plants: Plants) -> Many:
    """The boilers of a group do not share the work: their burner hours differ by more than 30 %."""
    if len(plants) < 2:
        return
    hours = _fact(plants, "counters.burner_hours")
    if hours is None:
        yield from _lacks(plants, "counters.burner_hours")
        return
    longest, shortest = max(hours), min(hours)
    if longest > shortest * plants.threshold(HOURS_APART) + TOLERANCE:
        busy = plants[hours.index(longest)]
        idle = plants[hours.index(shortest)]
        yield (
            busy,
            found(
                "counters.burner_hours",
                f"burner hours: {busy.show('counters.burner_hours')} here, {idle.show('counters.burner_hours')} on"
                f" {idle.name}",
                {"here": Quantity(longest, Kind.HOURS), "other boiler": Quantity(shortest, Kind.HOURS)},
                "check rotation, and what keeps the other boiler from firing",
            ),
        )


@rule("group-output-below-load", severity=OUTAGE, certainty=LIKELY, cautions=("heating", "cascade"),
      source=ARITHMETIC, assumes="the recorded load is that of the whole group", scope="group")  # fmt: skip
def group_output_below_load(plants: Sequence[Summary]) -> Many:
    """All boilers of a group together give less than the design load.

    Sum of the rated outputs, against the largest recorded design load.
    """
    output, load = _fact(plants, "boiler.output_maximum"), _fact(plants, "building.design_load")
    if output is None or load is None:
        yield from _lacks(plants, "boiler.output_maximum", "building.design_load")
    elif sum(output) < max(load) * (1 - TOLERANCE):
        one = plants[load.index(max(load))]
        yield (
            one,
            found(
                "building.design_load",
                f"{len(plants)} boilers give {one.show('boiler.output_maximum', sum(output))} together; design load is"
                f" {one.show('building.design_load')}",
                {"together": watts_of(sum(output)), "load": watts_of(max(load))},
                "check the load, and whether all boilers of the group are recorded",
            ),
        )


@rule("group-needs-more-flow", severity=DAMAGE, certainty=LIKELY, cautions=("pump", "cascade"), source=ARITHMETIC,
      assumes=("all boilers fire at once", "no separator between boilers and loop"), scope="group")  # fmt: skip
def group_needs_more_flow(plants: Sequence[Summary]) -> Many:
    """The boilers of a group together need more water than the system loop moves.

    Sum of the minimum flows, compared with the flow in the loop; not where each boiler has its own circuit
    (primary-secondary, separator or buffer).
    """
    topologies = {plant.facts.get("piping.topology") for plant in plants}
    if topologies <= {"primary-secondary", "separator", "buffer"}:
        return
    if None in topologies:
        yield from ((plant, Missing("piping.topology")) for plant in plants if "piping.topology" not in plant.facts)
        return
    own, loop = _fact(plants, "boiler.minimum_flow"), _fact(plants, "piping.system_flow")
    if own is None or loop is None:
        yield from _lacks(plants, "boiler.minimum_flow", "piping.system_flow")
    elif sum(own) > min(loop) + TOLERANCE:
        one = plants[loop.index(min(loop))]
        yield (
            one,
            found(
                "piping.system_flow",
                f"{len(plants)} boilers need {one.show('boiler.minimum_flow', sum(own))} together; the loop moves"
                f" {one.show('piping.system_flow')}",
                {"needed": Quantity(sum(own), Kind.FLOW), "loop": Quantity(min(loop), Kind.FLOW)},
                "check pumps and piping, or let fewer boilers fire at once",
            ),
        )


@rule("idle-boiler-of-group", severity=DAMAGE, certainty=ASK, cautions=("freeze", "cascade"), source=COMMON_PRACTICE,
      scope="group")  # fmt: skip
def idle_boiler_of_group(plants: Sequence[Summary]) -> Many:
    """A boiler of a group is off for heating: who runs its pump, and what keeps it from freezing?"""
    if len(plants) < 2:
        return
    for plant in plants:
        if plant.settings.get("heating_enabled") is False:
            yield (
                plant,
                found(
                    "heating_enabled",
                    "heating is off while the others heat: does its pump run at times, and can it freeze?",
                    {},
                    "exercise its pump and keep it from freezing, or drain it and record that",
                ),
            )


@rule("facts-of-one-site-differ", severity=RECORD, cautions=("record",), source=COMMON_PRACTICE, scope="site")
def facts_of_one_site_differ(plants: Sequence[Summary]) -> Many:
    """Two profiles of one site differ about the same place or, in one group, about the same building.

    Compared: design outdoor temperature, coldest, elevation, gas; in a group also design load and balance point.
    """
    for name in ("site.design_outdoor", "site.coldest", "site.elevation", "gas.fuel"):
        yield from _unlike(plants, name)
    groups = Counter(plant.group for plant in plants if plant.group is not None)
    for group in groups:
        members = [plant for plant in plants if plant.group == group]
        for name in ("building.design_load", "building.balance_point"):
            yield from _unlike(members, name)


def _unlike(plants: Sequence[Summary], name: str) -> Many:
    known = [plant for plant in plants if name in plant.facts]
    for plant in plants if known else ():
        if name not in plant.facts:
            yield plant, Missing(name)
    for plant in known[1:]:
        if not same(plant.facts[name], known[0].facts[name]):
            yield (
                plant,
                found(
                    name,
                    f"{title_of(name)} is {plant.show(name)} here and {known[0].show(name)} at {known[0].name}",
                    {},
                    "find out which is right and correct the other",
                ),
            )


RULES: Final[tuple[Rule, ...]] = (
    two_leaders,
    group_without_leader,
    cascade_address_twice,
    twins_not_alike,
    follower_at_odds_with_leader,
    burner_hours_apart,
    group_output_below_load,
    group_needs_more_flow,
    idle_boiler_of_group,
    facts_of_one_site_differ,
)

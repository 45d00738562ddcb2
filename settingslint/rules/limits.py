"""Rules: limits and safety devices. A working value is lowered before a limit is touched; a limit"
" never gets a figure."""

from __future__ import annotations

from typing import Final

from settingslint.model.treatment import TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.physics.water import atmosphere, boiling_point
from settingslint.rules.base import (
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Rule,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    rule,
)
from settingslint.rules.derived import highest_supply, overshoot
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.settings import FIRING, LIMITS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CSD_1

TITLE: Final = "limits"
CAUTION: Final = ("limit",)
RESTORE: Final = "restore the maker's value; qualified person; test it afterwards"

MARGIN: Final = Threshold(
    "limit_margin", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE, "least from the hottest working value to a limit"
)
BOIL_MARGIN: Final = Threshold(
    "boiling_margin", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE, "least from the high limit to boiling"
)
FILL_MARGIN: Final = Threshold(
    "low_pressure_margin", 4 * 6894.757293168, Kind.PRESSURE, COMMON_PRACTICE,
    "how far the low-pressure cut-out may lie below the cold fill",
)  # fmt: skip
ALARM_SHARE: Final = Threshold(
    "high_pressure_share", 0.9, Kind.RATIO, COMMON_PRACTICE, "share of the relief pressure at which an alarm is late"
)
PA_PER_METRE: Final = 9806.65


def _nearest_limit(plant: Plant) -> tuple[Celsius, str]:
    """Return the lowest of the temperature limits that are known, and its name."""
    limits = [
        (plant.point(name), name)
        for name in ("operating_limit", "high_limit")
        if plant.known(name) is not None and name in plant.control.rows
    ]
    if not limits:
        raise Missing("high_limit")
    return min(limits)


@rule(
    "high-limit-too-near",
    severity=OUTAGE,
    needs=("heating_setpoint",),
    cautions=(*CAUTION, "heating"),
    source=COMMON_PRACTICE,
    thresholds=(MARGIN,),
)
def high_limit_too_near(plant: Plant) -> Drafts:
    """The heating set point with its overshoot comes so near to a limit that hard weather trips it.

    Lowest limit - (set point + overshoot above it) below 10 F. The overshoot is a setting, or fixed by the control. The
    working value comes down; the limit is not raised.

    Trips:
        [settings]
        heating_setpoint = 175
    Passes:
        [settings]
        heating_setpoint = 174
    """
    limit, name = _nearest_limit(plant)
    top = highest_supply_set(plant)
    over = overshoot(plant)
    margin = Kelvin(limit - top - over)
    least = plant.threshold(MARGIN)
    if margin >= least - TOLERANCE:
        return
    value = plant.attainable("heating_setpoint", at_most=limit - over - least)
    text = "lower the set point before anybody thinks of the limit"
    if value is None:
        remedy = Remedy(text)
    else:
        shown = plant.show("heating_setpoint", value)
        remedy = Remedy(f"{text}: {shown}; look what the emitters need", {"heating_setpoint": value})
    yield found(
        "heating_setpoint",
        f"set point {plant.show(Kind.POINT, top)} and {plant.show(Kind.DIFFERENCE, over)} above it come within"
        f" {plant.show(Kind.DIFFERENCE, margin)} of the {title_of(name)}, {plant.show(Kind.POINT, limit)}",
        {"set point": celsius_of(top), "overshoot": kelvin_of(over), title_of(name): celsius_of(limit),
         "margin": kelvin_of(margin)},
        remedy,
    )  # fmt: skip


def highest_supply_set(plant: Plant) -> Celsius:
    """Return the hottest heating supply that can be asked for: the set point, or a lower maximum supply."""
    top = plant.point("heating_setpoint")
    most = plant.known("maximum_supply")
    return Celsius(min(top, most)) if isinstance(most, float) else top


@rule(
    "operating-limit-below-hot-water-target",
    severity=OUTAGE,
    needs=("operating_limit", "hot_water_boiler_setpoint"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=(*CAUTION, "scald", "hygiene"),
    source=ARITHMETIC,
)
def operating_limit_below_hot_water_target(plant: Plant) -> Drafts:
    """The operating limit stops the burner before the boiler target during hot water is reached: hot water is never
    done.

    Trips:
        [settings]
        hot_water_boiler_setpoint = 191
    Passes:
        [settings]
        hot_water_boiler_setpoint = 190
    """
    limit, target = plant.point("operating_limit"), plant.point("hot_water_boiler_setpoint")
    if target > limit + TOLERANCE:
        value = plant.attainable("hot_water_boiler_setpoint", at_most=limit)
        text = "lower the boiler target and look what the store needs; the limit stays"
        remedy = Remedy(text, {} if value is None else {"hot_water_boiler_setpoint": value})
        yield found(
            "hot_water_boiler_setpoint",
            f"boiler target {plant.show(Kind.POINT, target)} above the operating limit {plant.show(Kind.POINT, limit)}",
            {"boiler target": celsius_of(target), "operating limit": celsius_of(limit)},
            remedy,
        )


@rule(
    "operating-limit-below-emitter-need",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("operating_limit", "heating_setpoint", "site.design_outdoor"),
    cautions=(*CAUTION, "heating"),
    source=ARITHMETIC,
    assumes="the supply that is set is the one that is needed",
)
def operating_limit_below_emitter_need(plant: Plant) -> Drafts:
    """The operating limit lies below the supply that is set for the design day.

    A campaign lowered limits and not set points: the boiler stops at the limit in the coldest week.

    Trips:
        [settings]
        operating_limit = 161
    Passes:
        [settings]
        operating_limit = 163
    """
    limit, top = plant.point("operating_limit"), highest_supply(plant)
    if limit < top - TOLERANCE:
        yield found(
            "operating_limit",
            f"operating limit {plant.show(Kind.POINT, limit)} below the supply of {plant.show(Kind.POINT, top)} that is"
            " set for the design day",
            {"operating limit": celsius_of(limit), "supply": celsius_of(top)},
            RESTORE,
        )


@rule(
    "high-limit-above-rating",
    severity=DANGER,
    needs=("high_limit", "boiler.lowest_rated_part"),
    cautions=CAUTION,
    source=(CSD_1, ARITHMETIC),
)
def high_limit_above_rating(plant: Plant) -> Drafts:
    """The high limit lies above the rating of a part of the system.

    Trips:
        [boiler]
        lowest_rated_part = 205
    Passes:
        [boiler]
        lowest_rated_part = 206
    """
    limit, rating = plant.point("high_limit"), plant.point("boiler.lowest_rated_part")
    if limit > rating + TOLERANCE:
        yield found(
            "high_limit",
            f"high limit {plant.show(Kind.POINT, limit)}; a part of the system is rated"
            f" {plant.show(Kind.POINT, rating)}",
            {"high limit": celsius_of(limit), "rating": celsius_of(rating)},
            RESTORE,
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
)
def high_limit_near_boiling(plant: Plant) -> Drafts:
    """At the lowest pressure at which the boiler still fires, water boils at or near the high limit.

    Boiling point at low-pressure cut-out plus the atmosphere at the site's elevation, against the high limit.

    Trips:
        [settings]
        high_limit = 223
    Passes:
        [settings]
        high_limit = 222
    """
    gauge = 0.0 if plant.is_off("low_pressure_cutout") else plant.number("low_pressure_cutout")
    boils = boiling_point(gauge + atmosphere(plant.number("site.elevation")))
    limit = plant.point("high_limit")
    if limit > boils - plant.threshold(BOIL_MARGIN) + TOLERANCE:
        yield found(
            "high_limit",
            f"water boils at {plant.show(Kind.POINT, boils)} at the lowest pressure it fires at; the high limit is"
            f" {plant.show(Kind.POINT, limit)}",
            {"boils at": celsius_of(boils), "high limit": celsius_of(limit)},
            f"look at the fill pressure; {RESTORE}",
        )


@rule(
    "high-limit-resets-by-itself",
    severity=DANGER,
    needs=("high_limit_reset", "site.manual_reset_required"),
    only_if={"site.manual_reset_required": (True,)},
    cautions=(*CAUTION, "law"),
    source=CSD_1,
)
def high_limit_resets_by_itself(plant: Plant) -> Drafts:
    """The high limit resets by itself where local rules ask for a manual reset.

    Trips:
        [settings]
        high_limit_reset = "automatic"
    Passes:
        [settings]
        high_limit_reset = "manual"
    """
    if plant.word("high_limit_reset") == "automatic":
        yield found(
            "high_limit_reset",
            "the high limit resets by itself; the local rule asks for a reset by hand",
            {},
            RESTORE,
        )


@rule(
    "flue-limit-above-vent-rating",
    severity=DANGER,
    needs=("flue_limit", "vent.rating"),
    cautions=(*CAUTION, "firing"),
    source=ARITHMETIC,
)
def flue_limit_above_vent_rating(plant: Plant) -> Drafts:
    """The flue temperature limit lies above the rating of the vent: plastic softens before the burner stops.

    Trips:
        [vent]
        rating = 204
    Passes:
        [vent]
        rating = 205
    """
    limit, rating = plant.point("flue_limit"), plant.point("vent.rating")
    if limit > rating + TOLERANCE:
        yield found(
            "flue_limit",
            f"flue limit {plant.show(Kind.POINT, limit)}; the vent is listed for {plant.show(Kind.POINT, rating)}",
            {"flue limit": celsius_of(limit), "vent rating": celsius_of(rating)},
            RESTORE,
        )


@rule(
    "difference-limit-off-or-wide",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("difference_limit", "boiler.maximum_difference"),
    cautions=(*CAUTION, "pump"),
    source=ARITHMETIC,
    assumes="nothing else watches the flow",
)
def difference_limit_off_or_wide(plant: Plant) -> Drafts:
    """The limit of the supply-return difference is off, or wider than the boiler may have.

    Trips:
        [settings]
        difference_limit = 45
    Passes:
        [settings]
        difference_limit = 44
    """
    most = plant.difference("boiler.maximum_difference")
    if plant.is_off("difference_limit"):
        yield found("difference_limit", f"off; the boiler may have {plant.show(Kind.DIFFERENCE, most)}", {}, RESTORE)
    elif plant.difference("difference_limit") > most + TOLERANCE:
        yield found(
            "difference_limit",
            f"{plant.show('difference_limit')}; the boiler may have {plant.show(Kind.DIFFERENCE, most)}",
            {"limit": kelvin_of(plant.difference("difference_limit")), "most": kelvin_of(most)},
            RESTORE,
        )


@rule(
    "low-pressure-cut-out-too-low",
    severity=DAMAGE,
    needs=("low_pressure_cutout", "water.static_height"),
    cautions=CAUTION,
    source="height of the water column; the margin is common practice, no source",
    thresholds=(FILL_MARGIN,),
)
def low_pressure_cut_out_too_low(plant: Plant) -> Drafts:
    """The low-pressure cut-out is off, or lets the boiler fire without water at the top of the system.

    Height of the system as a water column less a margin of 4 psi.

    Trips:
        [settings]
        low_pressure_cutout = 5.4
    Passes:
        [settings]
        low_pressure_cutout = 5.6
    """
    column = plant.number("water.static_height") * PA_PER_METRE
    if plant.is_off("low_pressure_cutout"):
        yield found("low_pressure_cutout", "the low-pressure cut-out is off: it can fire dry", {}, RESTORE)
        return
    cut, least = plant.number("low_pressure_cutout"), column - plant.threshold(FILL_MARGIN)
    if cut < least - 1.0:
        yield found(
            "low_pressure_cutout",
            f"cuts out at {plant.show('low_pressure_cutout')}; the water column alone is"
            f" {plant.show(Kind.PRESSURE, column)}",
            {"cut-out": Quantity(cut, Kind.PRESSURE), "water column": Quantity(column, Kind.PRESSURE)},
            RESTORE,
        )


@rule(
    "pressure-alarm-near-relief",
    severity=OUTAGE,
    needs=("high_pressure_alarm", "water.relief_pressure"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(ALARM_SHARE,),
)
def pressure_alarm_near_relief(plant: Plant) -> Drafts:
    """The high-pressure alarm comes when the relief valve already opens.

    Alarm at 0.9 of the relief pressure or above.

    Trips:
        [settings]
        high_pressure_alarm = 27
    Passes:
        [settings]
        high_pressure_alarm = 26.9
    """
    alarm, relief = plant.number("high_pressure_alarm"), plant.number("water.relief_pressure")
    if alarm >= plant.threshold(ALARM_SHARE) * relief - 1.0:
        yield found(
            "high_pressure_alarm",
            f"alarm at {plant.show('high_pressure_alarm')}; the relief valve opens at"
            f" {plant.show('water.relief_pressure')}",
            {"alarm": Quantity(alarm, Kind.PRESSURE), "relief": Quantity(relief, Kind.PRESSURE)},
            "an alarm that comes well before the relief valve, by the maker's papers",
        )


@rule(
    "more-lockout-tries-allowed",
    severity=DANGER,
    cautions=("firing", "limit", "mask"),
    source=COMMON_PRACTICE,
)
def more_lockout_tries_allowed(plant: Plant) -> Drafts:
    """More trials for ignition or more resets are allowed than the maker sets, or lockouts can be reset from afar.

    Repeated tries of a flame fault gather unburnt gas.

    Trips:
        [settings]
        ignition_trials = 4
    Passes:
        [settings]
        ignition_trials = 3
    """
    for name in ("ignition_trials", "resets_per_hour"):
        if name not in plant.control.rows:
            continue
        if plant.known(name) is None:
            yield Missing(name)
            continue
        now = plant.number(name)
        row = plant.row(name)
        default = row.default_for(plant.profile.size) if row else None
        if name == "ignition_trials" and default is None:
            default = plant.known("boiler.manufacturer_retries")
        if not isinstance(default, float):
            yield Missing(name, f"the maker's figure of {title_of(name)} is not recorded")
        elif now > default + TOLERANCE:
            yield found(name, f"{title_of(name)}: {now:.0f}, more than the maker sets", {}, RESTORE)
    if "remote_reset" in plant.control.rows:
        if plant.known("remote_reset") is None:
            yield Missing("remote_reset")
        elif plant.flag("remote_reset"):
            yield found(
                "remote_reset",
                "lockouts can be reset from afar",
                {},
                Remedy("switch it off: somebody stands at the boiler who finds the cause", {}),
            )


def _limits_moved(plant: Plant) -> list[tuple[str, bool]]:
    """Return the limits and firing settings that differ from the state before, and whether they went up."""
    if plant.past is None:
        raise Missing("history")
    if not plant.past.states:
        raise DoesNotApply("no earlier state")
    before = plant.past.states[-1].typed
    moved = []
    for name in sorted(LIMITS | FIRING):
        old, new = before.get(name), plant.typed(name)
        if old is not None and new is not None and not same(old, new):
            up = isinstance(old, float) and isinstance(new, float) and new > old
            moved.append((name, up))
    return moved


@rule(
    "limit-not-put-back-after-test",
    severity=DANGER,
    certainty=LIKELY,
    needs=("visit.why",),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
)
def limit_not_put_back_after_test(plant: Plant) -> Drafts:
    """A limit was "tested" by changing its setting, and was not put back.

    Looks into the history: a limit differs from before, and the reason of the visit speaks of a test.

    Trips (with a history in which the limit was another):
        [visit]
        why = "test of the high limit"
    Passes:
        [visit]
        why = "autumn service"
    """
    if "test" not in plant.word("visit.why").casefold():
        return
    for name, _ in _limits_moved(plant):
        if name in LIMITS:
            yield found(name, f"{title_of(name)} was changed on a visit for a test and not put back", {}, RESTORE)


@rule(
    "limit-widened-after-fault",
    severity=DANGER,
    certainty=LIKELY,
    needs=("visit.why",),
    cautions=(*CAUTION, "firing", "mask"),
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
)
def limit_widened_after_fault(plant: Plant) -> Drafts:
    """A limit or a firing setting was widened on the visit that answered a fault, and no cause is written down.

    Looks into the history, the reason and the kind of the visit.

    Trips (with a history in which the limit was lower):
        [visit]
        why = "lockout in the night"
        kind = "fault"
    Passes:
        [visit]
        why = "lockout in the night"
        kind = "fault"
        fault_cause = "blocked filter, cleaned"
    """
    words = ("fault", "lockout", "trip", "alarm", "error")
    why = plant.word("visit.why").casefold()
    if plant.known("visit.kind") != "fault" and not any(word in why for word in words):
        return
    if plant.known("visit.fault_cause") is not None:
        return
    for name, up in _limits_moved(plant):
        if up:
            yield found(
                name,
                f"{title_of(name)} was raised on a visit for a fault, and no cause of the fault is written down",
                {},
                f"find the cause and write it down; {RESTORE}",
            )


RULES: Final[tuple[Rule, ...]] = (
    high_limit_too_near,
    operating_limit_below_hot_water_target,
    operating_limit_below_emitter_need,
    high_limit_above_rating,
    high_limit_near_boiling,
    high_limit_resets_by_itself,
    flue_limit_above_vent_rating,
    difference_limit_off_or_wide,
    low_pressure_cut_out_too_low,
    pressure_alarm_near_relief,
    more_lockout_tries_allowed,
    limit_not_put_back_after_test,
    limit_widened_after_fault,
)

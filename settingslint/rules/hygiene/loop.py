"""Rules of the hygiene group about the circulation loop: return too cool, loop off for hours."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics import hygiene
from settingslint.rules.base import DANGER, LIKELY, Drafts, Missing, Quantity, Threshold, celsius_of, found, kelvin_of
from settingslint.rules.hygiene.tap import BOTH
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kelvin, Kind, celsius, kelvin
from settingslint.vocabulary.sources import COMMON_PRACTICE, HSE_HSG274

RETURN: Final = Threshold(
    "loop_return_minimum", hygiene.RETURN_MINIMUM, Kind.POINT, HSE_HSG274, "minimum return of a circulation loop",
    celsius(120), celsius(150), "CDC toolkit for potable water systems: circulated at 120 F and more", looser="down",
)  # fmt: skip
LOOP_DROP: Final = Threshold(
    "loop_drop_maximum", kelvin(9), Kind.DIFFERENCE, COMMON_PRACTICE, "maximum drop from the tank to the loop return",
    kelvin(2), Kelvin(10.0), "HSE HSG274 part 2: a tank at 60 C and a return at 50 C are 10 K apart", looser="up",
)  # fmt: skip
STANDSTILL: Final = Threshold(
    "loop_standstill_maximum", 8 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "maximum hours a day that the loop is off",
    3600.0, 8 * 3600.0, "DVGW W 551 (from memory): a circulation loop is off 8 h a day at most", looser="up",
)  # fmt: skip


@rule(
    "loop-return-too-cool",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.return_measured", "hot_water.circulation_loop"),
    only_if={"hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=HSE_HSG274,
    assumes="the reading is true of the whole loop",
    thresholds=(RETURN,),
    trips="hot_water.circulation_loop = true, hot_water.return_measured = 121",
    passes="hot_water.return_measured = 122",
)
def loop_return_too_cool(plant: Plant) -> Drafts:
    """The circulation loop returns too cool.

    Compared: the measured return, with 50 C or the owner's own value.
    """
    measured, minimum = plant.point("hot_water.return_measured"), plant.threshold(RETURN)
    if measured < minimum - TOLERANCE:
        yield found(
            "hot_water.return_measured",
            f"loop returns at {plant.show(Kind.POINT, measured)}; minimum {plant.show(Kind.POINT, minimum)}",
            {"return": celsius_of(measured), "minimum": celsius_of(minimum)},
            "tell the person responsible for water safety; check balance, pump and insulation",
        )


@rule(
    "loop-drops-too-far",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.return_measured", "tank_setpoint"),
    only_if={"hot_water.kind": ("tank",), "hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the tank was at its set point when the return was read",
    thresholds=(LOOP_DROP,),
    trips="hot_water.circulation_loop = true, hot_water.return_measured = 135",
    passes="hot_water.return_measured = 136",
)
def loop_drops_too_far(plant: Plant) -> Drafts:
    """The loop loses too much heat between tank and return: in a part of it water hardly moves.

    Drop = tank set point - measured return; about 5 K is usual. A return that was read before the set point was changed
    tells nothing.
    """
    drop, most = plant.point("tank_setpoint") - plant.point("hot_water.return_measured"), plant.threshold(LOOP_DROP)
    entry = plant.entries.get("tank_setpoint")
    read, changed = plant.facts["hot_water.return_measured"].on, entry.on if entry else None
    if read is not None and changed is not None and read < changed:
        raise Missing("hot_water.return_measured", "the return was read before the tank set point was changed")
    if drop > most + TOLERANCE:
        yield found(
            "hot_water.return_measured",
            f"loop loses {plant.show(Kind.DIFFERENCE, drop)} from tank to return; maximum"
            f" {plant.show(Kind.DIFFERENCE, most)}",
            {"drop": kelvin_of(drop)},
            "balance the loop and look for a branch without flow",
        )


@rule(
    "circulation-stopped-for-hours",
    severity=DANGER,
    certainty=LIKELY,
    needs=("recirculation", "hot_water.circulation_loop"),
    only_if={"hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the loop cools into the growth range while it is off",
    thresholds=(STANDSTILL,),
    trips=(
        "hot_water.circulation_loop = true, hot_water.return_measured = 138, "
        'settings.recirculation = "scheduled", settings.recirculation_off_hours = 9'
    ),
    passes="settings.recirculation_off_hours = 8",
)
def circulation_stopped_for_hours(plant: Plant) -> Drafts:
    """The circulation loop is switched off, or off for many hours each day.

    German practice for large systems: no more than 8 hours a day (from memory; check the local rule).
    """
    mode = plant.word("recirculation")
    if mode == "off":
        yield found(
            "recirculation",
            "there is a circulation loop, but it is switched off",
            {},
            "ask the person responsible for water safety whether the loop may be off",
        )
    elif mode == "scheduled":
        hours, most = plant.number("recirculation_off_hours"), plant.threshold(STANDSTILL)
        if hours > most + TOLERANCE:
            yield found(
                "recirculation_off_hours",
                f"loop is off {plant.show('recirculation_off_hours')} a day; maximum {plant.show(Kind.HOURS, most)}",
                {"off": Quantity(hours, Kind.HOURS)},
                "ask the person responsible for water safety how long the loop may be off",
            )


RULES: Final[tuple[Rule, ...]] = (
    loop_return_too_cool,
    loop_drops_too_far,
    circulation_stopped_for_hours,
)

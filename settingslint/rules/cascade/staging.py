"""Rules: boilers in a group and boilers led by a building automation, one boiler at a time."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    celsius_of,
    found,
    minutes_of,
)
from settingslint.rules.derived.line import reset_is_on
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

CAUTION: Final = ("cascade",)
LEADER: Final = {"cascade_role": ("leader",)}
BY_TEMPERATURE: Final = {"external_signal": ("temperature",)}

SIGNAL_OFF: Final = Threshold(
    "signal_ends_apart", kelvin(2), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far sender and boiler may differ about the supply at an end of the signal",
    kelvin(0.5), kelvin(9), "common practice, no source: 9 F is another target", looser="up",
)  # fmt: skip


@rule(
    "cascade-without-system-sensor",
    severity=OUTAGE,
    needs=("accessories.system_sensor",),
    only_if=LEADER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips='settings.cascade_role = "leader", accessories.system_sensor = false',
    passes="accessories.system_sensor = true",
)
def cascade_without_system_sensor(plant: Plant) -> Drafts:
    """The leader of a group has no sensor in the common supply.

    It stages by its own water and overshoots the others.
    """
    if not plant.flag("accessories.system_sensor"):
        yield found(
            "cascade_role",
            "leader of the group has no sensor in the common supply",
            {},
            "fit and connect the system sensor where the maker's piping drawing shows it",
        )


@rule(
    "staging-by-few-at-high-fire",
    severity=WASTE,
    certainty=LIKELY,
    needs=("stage_order", "boiler.condensing"),
    only_if=LEADER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the return is cool enough to condense at low fire",
    trips='settings.cascade_role = "leader", settings.stage_order = "fewest"',
    passes='settings.stage_order = "most"',
)
def staging_by_few_at_high_fire(plant: Plant) -> Drafts:
    """Condensing boilers are staged few at high fire instead of many at low fire.

    Many at low fire condense more, until the load falls below the low fire of all together.
    """
    if plant.word("stage_order") == "fewest" and plant.flag("boiler.condensing"):
        yield found(
            "stage_order",
            "condensing boilers are staged few at high fire",
            {},
            "stage many at low fire, or record why not",
        )


@rule(
    "stage-delay-shorter-than-loop",
    severity=WASTE,
    certainty=LIKELY,
    needs=("stage_on_delay", "water.system_volume", "piping.system_flow"),
    only_if=LEADER,
    cautions=CAUTION,
    source=ARITHMETIC,
    assumes="all of the recorded water goes round the loop",
    trips='settings.cascade_role = "leader", settings.stage_on_delay = 10',
    passes="settings.stage_on_delay = 11",
)
def stage_delay_shorter_than_loop(plant: Plant) -> Drafts:
    """The next boiler starts before the water has gone round the loop once.

    The heat of the first is not felt yet: all on, then all off. Time round the loop = volume / flow.
    """
    delay, flow = plant.number("stage_on_delay"), plant.number("piping.system_flow")
    if flow <= 0:
        raise Missing("piping.system_flow", "no flow in the loop is recorded")
    around = plant.number("water.system_volume") / flow
    if delay < around - TOLERANCE:
        yield found(
            "stage_on_delay",
            f"next boiler starts after {plant.show('stage_on_delay')}; water takes"
            f" {plant.show(Kind.MINUTES, around)} round the loop",
            {"delay": minutes_of(delay), "once round": minutes_of(around)},
            f"lengthen the delay to at least {plant.show(Kind.MINUTES, around)}",
        )


@rule(
    "rotation-off",
    severity=WASTE,
    needs=("rotation_interval",),
    only_if=LEADER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips='settings.cascade_role = "leader", settings.rotation_interval = "off"',
    passes="settings.rotation_interval = 96",
)
def rotation_off(plant: Plant) -> Drafts:
    """The first boiler never changes: one wears out, and the others may seize."""
    if plant.value("rotation_interval") == OFF:
        yield found(
            "rotation_interval", "rotation is off: the same boiler always fires first", {}, "set a rotation interval"
        )


def _stops(plant: Plant, name: str, what: str) -> Drafts:
    """Yield a question where the boiler stops without what leads it."""
    if plant.word(name) == "stop":
        yield found(
            name,
            f"boiler stops when the {what} is lost: who notices, and how soon?",
            {},
            "set it to run at a local set point then, or wire an alarm that somebody answers",
        )


@rule(
    "no-heat-when-leader-is-lost",
    severity=DAMAGE,
    certainty=ASK,
    needs=("leader_loss",),
    only_if={"cascade_role": ("follower",)},
    cautions=("freeze", "cascade"),
    source=COMMON_PRACTICE,
    trips='settings.cascade_role = "follower", settings.leader_loss = "stop"',
    passes='settings.leader_loss = "local set point"',
)
def no_heat_when_leader_is_lost(plant: Plant) -> Drafts:
    """A follower stops when its leader or the wire to it fails: no heat, though a boiler could fire."""
    yield from _stops(plant, "leader_loss", "leader")


@rule(
    "no-heat-when-signal-is-lost",
    severity=DAMAGE,
    certainty=ASK,
    needs=("external_loss",),
    only_if={"external_signal": ("temperature", "firing rate")},
    cautions=("freeze", "cascade"),
    source=COMMON_PRACTICE,
    trips='settings.external_signal = "temperature", settings.external_loss = "stop"',
    passes='settings.external_loss = "local set point"',
)
def no_heat_when_signal_is_lost(plant: Plant) -> Drafts:
    """The boiler stops when the signal of the building automation fails."""
    yield from _stops(plant, "external_loss", "signal")


@rule(
    "signal-scaled-differently-at-its-ends",
    severity=OUTAGE,
    needs=("external_low", "external_high", "accessories.signal_low", "accessories.signal_high"),
    only_if=BY_TEMPERATURE,
    cautions=CAUTION,
    source=ARITHMETIC,
    thresholds=(SIGNAL_OFF,),
    trips=(
        'settings.external_signal = "temperature", settings.external_low = 80, settings.external_high = 177, '
        "accessories.signal_low = 80, accessories.signal_high = 180"
    ),
    passes="settings.external_high = 178",
)
def signal_scaled_differently_at_its_ends(plant: Plant) -> Drafts:
    """The building automation sends one supply temperature and the boiler makes another.

    What the ends of the signal mean there, compared with what they mean here; between them both are straight lines.
    """
    for end in ("low", "high"):
        here, there = plant.point(f"external_{end}"), plant.point(f"accessories.signal_{end}")
        if abs(here - there) > plant.threshold(SIGNAL_OFF) + TOLERANCE:
            yield found(
                f"external_{end}",
                f"{end} end of the signal: the automation means {plant.show(Kind.POINT, there)}, the boiler makes"
                f" {plant.show(f'external_{end}')}",
                {"automation": celsius_of(there), "boiler": celsius_of(here)},
                "give automation and boiler the same scale, then test three points",
            )


@rule(
    "two-resets-in-series",
    severity=WASTE,
    certainty=ASK,
    only_if=BY_TEMPERATURE,
    cautions=("cascade", "heating"),
    source=(CONTROL_FILE, COMMON_PRACTICE),
    trips=(
        'control.control.second_reset = "lower of both", settings.external_signal = "temperature", '
        "settings.reset = true"
    ),
    passes="settings.reset = false",
)
def two_resets_in_series(plant: Plant) -> Drafts:
    """The building automation sends a supply temperature, and the boiler's own reset is on too.

    The control file says what the boiler then runs at: the lower of both, or both added.
    """
    if plant.reset_style == "none":
        raise DoesNotApply("this control has no line of its own")
    if not reset_is_on(plant):
        return
    does = plant.known("control.second_reset")
    if does is None:
        raise Missing(
            "external_signal", f"the control file {plant.word('control.name')} does not say how two resets combine"
        )
    what = "runs at the lower of both" if does == "lower of both" else "both are added"
    yield found(
        "external_signal",
        f"supply is set by a signal and the boiler's own reset is on: {what}",
        {"lines": Quantity(2.0, Kind.COUNT)},
        "ask which of the two is meant, and switch the other off",
    )


RULES: Final[tuple[Rule, ...]] = (
    cascade_without_system_sensor,
    staging_by_few_at_high_fire,
    stage_delay_shorter_than_loop,
    rotation_off,
    no_heat_when_leader_is_lost,
    no_heat_when_signal_is_lost,
    signal_scaled_differently_at_its_ends,
    two_resets_in_series,
)

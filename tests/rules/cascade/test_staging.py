"""One boiler of a group, and signals from outside, at their boundaries.

Common practice, no source, unless a case says more.
"""

from __future__ import annotations

from typing import Final

from settingslint.rules.base import Certainty
from tests.rules.cascade.givens import FOLLOWER, SIGNAL
from tests.rules.kit import finding, rule_named
from tests.rules.tables import Cases, boundaries, edge, lacking

LEADER: Final = {"settings.cascade_role": "leader"}
ENDS: Final = {
    **SIGNAL, "settings.external_low": 80, "settings.external_high": 180, "accessories.signal_low": 80,
    "accessories.signal_high": 180,
}  # fmt: skip
DELAY: Final = "stage-delay-shorter-than-loop"
SCALED: Final = "signal-scaled-differently-at-its-ends"
LOWER: Final = {"control": {"control.second_reset": "lower of both"}}

CASES: Final[Cases] = [
    ("cascade-without-system-sensor", "found", {**LEADER, "accessories.system_sensor": False}, {}),
    ("cascade-without-system-sensor", "clear", LEADER, {}),
    ("cascade-without-system-sensor", "does not apply", {"accessories.system_sensor": False}, {}),
    ("cascade-without-system-sensor", "does not apply", {**FOLLOWER, "accessories.system_sensor": False}, {}),
    ("cascade-without-system-sensor", "not checked", LEADER, {"drop": ["accessories.system_sensor"]}),
    ("cascade-without-system-sensor", "not checked", {}, {"drop": ["settings.cascade_role"]}),
    *edge("staging-by-few-at-high-fire", LEADER, "settings.stage_order", "most", "fewest"),
    ("staging-by-few-at-high-fire", "clear", {**LEADER, "settings.stage_order": "fewest", "boiler.condensing": False},
     {}),
    ("staging-by-few-at-high-fire", "not checked", LEADER, {}),
    ("staging-by-few-at-high-fire", "not checked", {**LEADER, "settings.stage_order": "fewest"},
     {"drop": ["boiler.condensing"]}),
    # 95 gal at 9.5 gpm go round in 10 min
    *edge(DELAY, {**LEADER, "piping.system_flow": 9.5}, "settings.stage_on_delay", 10, 9.99),
    *lacking(DELAY, {**LEADER, "settings.stage_on_delay": 9}, "piping.system_flow", "water.system_volume"),
    (DELAY, "not checked", LEADER, {}),
    # 360 L at 0.6 L/s go round in 600 s
    *edge(DELAY, {**LEADER, "water.system_volume": 360, "piping.system_flow": 0.6},
          "settings.stage_on_delay", 10.1, 9.9, metric=True),
    *edge("rotation-off", LEADER, "settings.rotation_interval", 1000, "off"),
    ("rotation-off", "does not apply", {"settings.rotation_interval": "off"}, {}),
    ("rotation-off", "not checked", LEADER, {}),
    *edge("no-heat-when-leader-is-lost", FOLLOWER, "settings.leader_loss", "local set point", "stop"),
    ("no-heat-when-leader-is-lost", "does not apply", {**LEADER, "settings.leader_loss": "stop"}, {}),
    ("no-heat-when-leader-is-lost", "not checked", FOLLOWER, {}),
    ("no-heat-when-signal-is-lost", "found", {**SIGNAL, "settings.external_loss": "stop"}, {}),
    ("no-heat-when-signal-is-lost", "found",
     {"settings.external_signal": "firing rate", "settings.external_loss": "stop"}, {}),
    ("no-heat-when-signal-is-lost", "clear", {**SIGNAL, "settings.external_loss": "local set point"}, {}),
    ("no-heat-when-signal-is-lost", "does not apply", {"settings.external_loss": "stop"}, {}),
    ("no-heat-when-signal-is-lost", "not checked", SIGNAL, {}),
    (SCALED, "clear", ENDS, {}),
    *edge(SCALED, ENDS, "settings.external_high", 182, 182.1),
    *edge(SCALED, ENDS, "settings.external_high", 178, 177.9),
    *edge(SCALED, ENDS, "settings.external_low", 78, 77.9),
    (SCALED, "not checked", {name: value for name, value in ENDS.items() if name != "accessories.signal_low"}, {}),
    (SCALED, "does not apply", {**ENDS, "settings.external_signal": "firing rate", "settings.external_low": 60}, {}),
    ("two-resets-in-series", "found", SIGNAL, LOWER),
    ("two-resets-in-series", "clear", {**SIGNAL, "settings.reset": False}, LOWER),
    ("two-resets-in-series", "does not apply", {}, LOWER),
    ("two-resets-in-series", "does not apply", SIGNAL, {"style": "none"}),
    ("two-resets-in-series", "not checked", SIGNAL, {}),
    ("two-resets-in-series", "not checked", SIGNAL, {"drop": ["settings.reset"], **LOWER}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_the_signal_says_both_temperatures() -> None:
    one = finding(SCALED, {**ENDS, "settings.external_high": 176})
    assert one.at == "external_high"
    assert "the automation means 180 F, the boiler makes 176 F" in one.message


def test_two_resets_say_what_comes_out() -> None:
    assert "runs at the lower of both" in finding("two-resets-in-series", SIGNAL, **LOWER).message
    added = {"control": {"control.second_reset": "added"}}
    assert "both are added" in finding("two-resets-in-series", SIGNAL, **added).message


def test_a_lost_leader_is_asked_about() -> None:
    assert rule_named("no-heat-when-leader-is-lost").certainty is Certainty.ASK

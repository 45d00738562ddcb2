# ruff: noqa: E501
"""Limits that somebody moved, at their boundaries. Common practice, no source."""

from __future__ import annotations

import re
from datetime import date
from typing import Any, Final

import pytest

from settingslint.model.values import Value
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.past import Left, Past
from settingslint.units import celsius, kelvin
from tests.rules.kit import finding
from tests.rules.tables import Cases, Declared, boundaries, declared, edge

FAULT: Final = {"visit.kind": "fault"}
TEST: Final = {"visit.occasion": "limit test"}
KNOWN: Final = {"visit.kind": "service", "visit.occasion": "routine", "settings.high_limit": 209}


def before(**typed: Value) -> dict[str, Any]:
    """Return a history in which the last state had these values, SI, and one before it none."""
    older = Left(date(2024, 10, 1), "somebody", "service", {}, {})
    return {"past": Past((older, Left(date(2025, 10, 1), "somebody", "service", typed, {})))}


def since(step: str = "left", **facts: Value) -> dict[str, Any]:
    """Return a history in which the high limit went from 200 F to 209 F on 2026-09-21, with these facts of the visit."""
    old = Left(date(2025, 10, 1), "R. Holm", "left", {"high_limit": celsius(200)}, {})
    told = {f"visit.{name}": fact for name, fact in facts.items()}
    new = Left(date(2026, 9, 21), "T. One", step, {"high_limit": celsius(209)}, told)
    return {"past": Past((old, new))}


LOWER: Final = before(high_limit=celsius(200))
UNMOVED: Final = before(high_limit=celsius(206), ignition_trials=3.0)

CASES: Final[Cases] = [
    ("more-lockout-tries-allowed", "clear", {"settings.ignition_trials": 3}, {}),
    *edge("more-lockout-tries-allowed", {}, "settings.ignition_trials", 2, 4),
    *edge("more-lockout-tries-allowed", {}, "settings.resets_per_hour", 2, 4),
    ("more-lockout-tries-allowed", "found", {"settings.remote_reset": True}, {}),
    ("more-lockout-tries-allowed", "found", {"settings.ignition_trials": 4, "boiler.manufacturer_retries": 5}, {}),
    # the maker's trials stand in the boiler's papers where the control file does not state them
    ("more-lockout-tries-allowed", "found", {"settings.ignition_trials": 4}, {"drop_control": ["setting.ignition_trials.default"]}),
    ("more-lockout-tries-allowed", "clear", {}, {"drop_control": ["setting.ignition_trials.default"]}),
    ("more-lockout-tries-allowed", "not checked", {},
     {"drop_control": ["setting.ignition_trials.default"], "drop": ["boiler.manufacturer_retries"]}),
    ("more-lockout-tries-allowed", "not checked", {}, {"drop_control": ["setting.resets_per_hour.default"]}),
    *[("more-lockout-tries-allowed", "not checked", {}, {"drop": [f"settings.{name}"]})
      for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
    *[("more-lockout-tries-allowed", "clear", {}, {"drop": [f"settings.{name}"], "drop_control": [f"setting.{name}"]})
      for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
    *[("more-lockout-tries-allowed", "not checked", {},
       {"drop": [f"settings.{name}"], "drop_control": [f"setting.{name}"], "control": {"control.complete": False}})
      for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
    ("more-lockout-tries-allowed", "found", {"settings.remote_reset": True}, {"drop": ["settings.ignition_trials", "settings.resets_per_hour"]}),
    ("more-lockout-tries-allowed", "does not apply", {},
     {"drop": [f"settings.{name}" for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
      "drop_control": [f"setting.{name}" for name in ("ignition_trials", "resets_per_hour", "remote_reset")]}),
    ("limit-not-put-back-after-test", "found", TEST, LOWER),
    ("limit-not-put-back-after-test", "found", TEST, before(high_limit=celsius(210))),
    ("limit-not-put-back-after-test", "found", TEST, before(high_limit_reset="automatic")),
    ("limit-not-put-back-after-test", "clear", TEST, UNMOVED),
    ("limit-not-put-back-after-test", "clear", TEST, before(heating_setpoint=celsius(140))),
    ("limit-not-put-back-after-test", "clear", TEST, before(maximum_fan_speed=6000.0)),
    ("limit-not-put-back-after-test", "clear", KNOWN, LOWER),
    ("limit-not-put-back-after-test", "clear", {**KNOWN, "visit.why": "test of the high limit"}, LOWER),
    ("limit-not-put-back-after-test", "not checked", {}, {}),
    # it stays through later visits; put back answers it, and so does the maker's value
    ("limit-not-put-back-after-test", "found", KNOWN, since(occasion="limit test")),
    ("limit-not-put-back-after-test", "clear", KNOWN, since("as found", occasion="limit test")),
    ("limit-not-put-back-after-test", "clear", {**KNOWN, "settings.high_limit": 200}, since(occasion="limit test")),
    ("limit-not-put-back-after-test", "clear", {**KNOWN, "settings.high_limit": 206}, since(occasion="limit test")),
    ("limit-not-put-back-after-test", "clear", KNOWN, since(occasion="repair")),
    ("limit-not-put-back-after-test", "not checked", KNOWN, since()),
    ("limit-not-put-back-after-test", "does not apply", TEST, {"past": Past(())}),
    ("limit-not-put-back-after-test", "not checked", TEST, {}),
    ("limit-not-put-back-after-test", "not checked", {}, {"drop": ["visit.occasion"], **LOWER}),
    ("limit-not-put-back-after-test", "clear", {}, {"drop": ["visit.occasion"], **UNMOVED}),
    ("limit-not-put-back-after-test", "clear", TEST, {"drop": ["settings.high_limit"], **LOWER}),
    ("limit-widened-after-fault", "found", FAULT, LOWER),
    ("limit-widened-after-fault", "clear", {**FAULT, "visit.fault_cause": "blocked filter, cleaned"}, LOWER),
    ("limit-widened-after-fault", "clear", {**KNOWN, "visit.why": "lockout in the night"}, LOWER),
    ("limit-widened-after-fault", "found", {**FAULT, "visit.why": "new strip lights"}, LOWER),
    # it stays through later visits until a cause is recorded or the value is put back
    ("limit-widened-after-fault", "found", KNOWN, since(kind="fault")),
    ("limit-widened-after-fault", "clear", {**KNOWN, "visit.fault_cause": "blocked filter"}, since(kind="fault")),
    ("limit-widened-after-fault", "clear", KNOWN, since(kind="fault", fault_cause="blocked filter")),
    ("limit-widened-after-fault", "clear", {**KNOWN, "settings.high_limit": 200}, since(kind="fault")),
    ("limit-widened-after-fault", "clear", KNOWN, since("as found", kind="fault")),
    ("limit-widened-after-fault", "clear", KNOWN, since(kind="service")),
    ("limit-widened-after-fault", "not checked", KNOWN, since()),
    ("limit-widened-after-fault", "clear", FAULT, before(high_limit=celsius(210))),
    ("limit-widened-after-fault", "clear", FAULT, UNMOVED),
    ("limit-widened-after-fault", "clear", FAULT, before(heating_setpoint=celsius(140))),
    # wider: off, lower where it guards from below, automatic, on; narrower is no finding
    ("limit-widened-after-fault", "found", {**FAULT, "settings.difference_limit": "off"}, before(difference_limit=kelvin(42))),
    ("limit-widened-after-fault", "clear", FAULT, before(difference_limit="off")),
    ("limit-widened-after-fault", "found", FAULT, before(difference_limit=kelvin(41))),
    ("limit-widened-after-fault", "found", FAULT, before(low_pressure_cutout=80000.0)),
    ("limit-widened-after-fault", "clear", FAULT, before(low_pressure_cutout=50000.0)),
    ("limit-widened-after-fault", "found", {**FAULT, "settings.low_pressure_cutout": "off"}, before(low_pressure_cutout=50000.0)),
    ("limit-widened-after-fault", "found", {**FAULT, "settings.high_limit_reset": "automatic"}, before(high_limit_reset="manual")),
    ("limit-widened-after-fault", "clear", FAULT, before(high_limit_reset="automatic")),
    ("limit-widened-after-fault", "found", {**FAULT, "settings.remote_reset": True}, before(remote_reset=False)),
    ("limit-widened-after-fault", "clear", FAULT, before(remote_reset=True)),
    ("limit-widened-after-fault", "found", FAULT, before(resets_per_hour=2.0)),
    ("limit-widened-after-fault", "clear", FAULT, before(resets_per_hour=4.0)),
    # firing: any change
    ("limit-widened-after-fault", "found", FAULT, before(maximum_fan_speed=6000.0)),
    ("limit-widened-after-fault", "found", FAULT, before(maximum_fan_speed=6200.0)),
    ("limit-widened-after-fault", "found", FAULT, before(fuel_setting="propane")),
    ("limit-widened-after-fault", "clear", KNOWN, LOWER),
    ("limit-widened-after-fault", "not checked", {}, {}),
    ("limit-widened-after-fault", "does not apply", FAULT, {"past": Past(())}),
    ("limit-widened-after-fault", "not checked", FAULT, {}),
    ("limit-widened-after-fault", "not checked", {}, {"drop": ["visit.kind"], **LOWER}),
    ("limit-widened-after-fault", "clear", {}, {"drop": ["visit.kind"], **UNMOVED}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

DECLARED: Final[Declared] = [
    ("more-lockout-tries-allowed", Severity.DANGER, Certainty.PROVEN, {"limit", "firing", "mask"}),
    ("limit-not-put-back-after-test", Severity.DANGER, Certainty.LIKELY, {"limit"}),
    ("limit-widened-after-fault", Severity.DANGER, Certainty.LIKELY, {"limit", "firing", "mask"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


@pytest.mark.parametrize("name", ["ignition_trials", "resets_per_hour"])
def test_the_maker_s_number_of_tries_is_not_told(name: str) -> None:
    one = finding("more-lockout-tries-allowed", {f"settings.{name}": 7})
    assert re.findall(r"\d+", one.message) == ["7"]
    assert one.at == name


def test_what_moved_is_named_and_how() -> None:
    high = finding("limit-widened-after-fault", FAULT, **LOWER)
    assert high.at == "high_limit"
    assert "high limit widened at a fault on 2026-10-06" in high.message
    fan = finding("limit-widened-after-fault", FAULT, **before(maximum_fan_speed=6000.0))
    assert "maximum fan speed changed at a fault" in fan.message
    flue = finding("limit-widened-after-fault", FAULT, **before(flue_limit=celsius(200)))
    assert "flue temperature limit widened" in flue.message
    put_back = finding("limit-not-put-back-after-test", TEST, **LOWER)
    assert put_back.at == "high_limit"
    assert (
        "changed for a test on 2026-09-21 (T. One)"
        in finding("limit-not-put-back-after-test", KNOWN, **since(occasion="limit test")).message
    )

"""Values written down and not in force. What a control refuses: the control file; proposals: common practice."""

from __future__ import annotations

from typing import Final

from settingslint.model.profile import PROPOSED
from settingslint.rules.base import Severity
from tests.rules.kit import finding
from tests.rules.tables import Cases, boundaries, edge

REFUSES: Final = {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 180, "outside": "refused"}}}
SILENT: Final = {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 180}}}
MOVES: Final = {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 180, "outside": "moved to the end"}}}
NOT_TAKEN: Final = "value-not-taken-by-control"
PROPOSAL: Final = "worked-out-not-set"

CASES: Final[Cases] = [
    *edge(NOT_TAKEN, {}, "settings.heating_setpoint", 180, 180.1, **REFUSES),
    *edge(NOT_TAKEN, {}, "settings.heating_setpoint", 80, 79.9, **REFUSES),
    (NOT_TAKEN, "found", {"settings.heating_setpoint": 181}, SILENT),
    (NOT_TAKEN, "clear", {"settings.heating_setpoint": 181}, MOVES),
    (NOT_TAKEN, "clear", {"settings.heating_setpoint": 181}, {}),
    (NOT_TAKEN, "not checked", {}, {"drop_control": ["setting.heating_setpoint.treatments"]}),
    *edge(NOT_TAKEN, {}, "settings.heating_setpoint", 82.2, 82.3, **REFUSES, metric=True),
    (PROPOSAL, "found", {"settings.heating_setpoint": {"value": 165, "why": PROPOSED}}, {}),
    (PROPOSAL, "clear", {"settings.heating_setpoint": {"value": 165, "read_back": 165, "why": PROPOSED}}, {}),
    (PROPOSAL, "does not apply", {"settings.heating_setpoint": {"value": 165, "why": "set at the visit"}}, {}),
    (PROPOSAL, "does not apply", {}, {}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_a_refused_value_says_what_the_control_takes() -> None:
    one = finding(NOT_TAKEN, {"settings.heating_setpoint": 181}, **REFUSES)
    assert one.message == (
        "You asked for 181 F. This control takes 80 to 180 F only and refuses the rest; what it had before still stands"
    )
    hot = {"control": {"setting.tank_setpoint.range": {"low": 80, "high": 150, "outside": "refused"}}}
    assert finding(NOT_TAKEN, {"settings.tank_setpoint": 160}, **hot).severity is Severity.DANGER
    assert finding(NOT_TAKEN, {"settings.heating_setpoint": 500}, **SILENT).severity is Severity.OUTAGE


def test_a_refused_fan_speed_shows_no_figure_of_the_makers() -> None:
    fan = {"control": {"setting.maximum_fan_speed.range": {"low": 2000, "high": 6200, "outside": "refused"}}}
    one = finding(NOT_TAKEN, {"settings.maximum_fan_speed": 6500}, **fan)
    assert one.message == "asked for 6,500 rpm: this control refuses it"


def test_a_proposal_names_what_is_to_be_set() -> None:
    values = {f"settings.{name}": {"value": value, "why": PROPOSED} for name, value in (
        ("heating_setpoint", 165), ("tank_setpoint", 146), ("reset_endpoint", 75), ("pump_overrun", 5),
        ("tank_differential", 5),
    )}  # fmt: skip
    one = finding(PROPOSAL, values)
    assert one.severity is Severity.OUTAGE
    assert one.message.endswith(" and 1 more")

# ruff: noqa: E501
"""Glycol, and houses that are left alone, at their boundaries.

It gets as cold as -8 F at the kit's site. Freezing points of glycol are those of CoolProp's mixtures; the rest is common
practice, no source.
"""

from __future__ import annotations

import math
from datetime import date
from typing import Final

import pytest
from CoolProp.CoolProp import PropsSI

from settingslint.physics.glycol import freezing_point
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.freeze.givens import BY_MASS
from tests.rules.kit import AS_OF, METRIC, ask, finding
from tests.rules.tables import Cases, Declared, boundaries, declared, edge, remedies, unable

EMPTY: Final = {"site.occupants": "vacant", "site.alarm_path": False}

CASES: Final[Cases] = [
    # -8 F is -22.22 C; CoolProp: propylene by mass 41.7 %: -22.22 C (see below)
    *edge("antifreeze-too-weak", BY_MASS, "water.glycol_percent", 41.8, 41.7),
    *edge("antifreeze-too-weak", {**BY_MASS, "water.glycol_percent": 40}, "site.coldest", -5, -6),
    # 40.9 % by mass is 40 % by volume (densities 1036 and 998 kg/m3, CRC Handbook, from memory)
    *edge("antifreeze-too-weak", {**BY_MASS, "water.glycol_by": "volume"}, "water.glycol_percent", 40.9, 40.7),
    *edge("antifreeze-too-weak", {**BY_MASS, "water.fluid": "ethylene glycol"}, "water.glycol_percent", 39, 38),
    ("antifreeze-too-weak", "does not apply", {}, {}),
    ("antifreeze-too-weak", "not checked", {}, {"drop": ["water.fluid"]}),
    ("antifreeze-too-weak", "not checked", BY_MASS, {"drop": ["site.coldest"]}),
    ("antifreeze-too-weak", "not checked", {"water.fluid": "propylene glycol", "water.glycol_percent": 20}, {}),
    ("antifreeze-too-weak", "not checked", {"water.fluid": "propylene glycol", "water.glycol_by": "mass"}, {}),
    # CoolProp: propylene 0.3 by mass, -12.79 C
    *edge("antifreeze-too-weak", {**BY_MASS, "water.glycol_percent": 30}, "site.coldest", -12.7, -12.9, **METRIC),
    ("antifreeze-too-weak", "clear",
     {**BY_MASS, "water.glycol_percent": 30, "site.coldest": float(freezing_point("propylene", 0.3))}, METRIC),
    # asked on 2026-11-25; 366 days before is 2025-11-24
    *edge("antifreeze-test-overdue", BY_MASS, "water.tested", "2025-11-24", "2025-11-23"),
    ("antifreeze-test-overdue", "found", {**BY_MASS, "water.tested": "2025-11-23", "water.fluid": "ethylene glycol"}, {}),
    ("antifreeze-test-overdue", "does not apply", {"water.tested": "2020-01-01"}, {}),
    ("antifreeze-test-overdue", "not checked", {"water.fluid": "propylene glycol"}, {}),
    ("antifreeze-test-overdue", "not checked", {}, {"drop": ["water.fluid"]}),
    ("nobody-gets-an-alarm", "found", EMPTY, {}),
    ("nobody-gets-an-alarm", "found", {**EMPTY, "site.occupants": "seasonal"}, {}),
    ("nobody-gets-an-alarm", "found", {**EMPTY, "site.occupants": "none"}, {}),
    ("nobody-gets-an-alarm", "clear", {**EMPTY, "site.alarm_path": True}, {}),
    ("nobody-gets-an-alarm", "found", EMPTY, {"drop": ["settings.holiday_room"]}),
    ("nobody-gets-an-alarm", "found", EMPTY, {"drop": ["building.cooldown_time_constant"]}),
    ("nobody-gets-an-alarm", "does not apply", {"site.alarm_path": False}, {}),
    ("nobody-gets-an-alarm", "does not apply", {**EMPTY, "site.coldest": 36}, {}),
    ("nobody-gets-an-alarm", "not checked", EMPTY, {"drop": ["site.coldest"]}),
    ("nobody-gets-an-alarm", "not checked", {"site.occupants": "vacant"}, {"drop": ["site.alarm_path"]}),
    ("nobody-gets-an-alarm", "not checked", {"site.alarm_path": False}, {"drop": ["site.occupants"]}),
    ("nobody-gets-an-alarm", "found", EMPTY, METRIC),
    *edge("room-below-insurers-condition", {}, "settings.holiday_room", 50, 49.9),
    ("room-below-insurers-condition", "not checked", {}, {"drop": ["settings.holiday_room"]}),
    ("room-below-insurers-condition", "not checked", {"settings.holiday_room": 40}, {"drop": ["site.insurer_minimum"]}),
    ("room-below-insurers-condition", "does not apply", {}, {"drop": ["settings.holiday_room"], "drop_control": ["setting.holiday_room"]}),
    *edge("room-below-insurers-condition", {}, "settings.holiday_room", 10, 9.9, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("room-below-insurers-condition", {"settings.holiday_room": 45}, {}, {"holiday_room": celsius(50)}),
    ("room-below-insurers-condition", {"settings.holiday_room": 7}, METRIC, {"holiday_room": 10.0}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("room-below-insurers-condition", {"settings.holiday_room": 45},
     {"setting.holiday_room.range": {"low": 40, "high": 49}}, "can't keep"),
])  # fmt: skip
DECLARED: Final[Declared] = [
    ("antifreeze-too-weak", Severity.DAMAGE, Certainty.LIKELY, {"freeze"}),
    ("antifreeze-test-overdue", Severity.DAMAGE, Certainty.ASK, {"freeze"}),
    ("nobody-gets-an-alarm", Severity.DAMAGE, Certainty.ASK, {"freeze", "insurance"}),
    ("room-below-insurers-condition", Severity.OUTAGE, Certainty.PROVEN, {"freeze", "insurance"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


@pytest.mark.parametrize(
    ("fluid", "code", "percent"), [("propylene glycol", "MPG", 30.0), ("ethylene glycol", "MEG", 25.0)]
)
def test_freezing_points_are_coolprops(fluid: str, code: str, percent: float) -> None:
    one = finding("antifreeze-too-weak", {**BY_MASS, "water.fluid": fluid, "water.glycol_percent": percent})
    point = PropsSI("T_freeze", "T", 330, "P", 1e5, f"INCOMP::{code}[{percent / 100}]") - 273.15
    assert one.numbers["begins to freeze"].value == pytest.approx(point, abs=0.03)
    assert one.numbers["coldest"].value == pytest.approx(celsius(-8))
    assert f"{percent:.0f} % {fluid} by mass" in one.message


def test_a_share_by_volume_is_not_read_as_by_mass() -> None:
    # Lange's Handbook of Chemistry, 15th ed., table 5.13: propylene glycol, 40 % by volume, -20.6 C; within 0.9 K
    changes = {**BY_MASS, "water.glycol_percent": 40, "water.glycol_by": "volume"}
    one = finding("antifreeze-too-weak", changes)
    assert one.numbers["begins to freeze"].value == pytest.approx(-20.6, abs=0.9)
    by_mass = finding("antifreeze-too-weak", {**BY_MASS, "water.glycol_percent": 40})
    assert by_mass.numbers["begins to freeze"].value == pytest.approx(-20.57, abs=0.03)


def test_days_since_the_test_are_counted() -> None:
    one = finding("antifreeze-test-overdue", {**BY_MASS, "water.tested": "2024-11-25"})
    assert one.numbers["days"].value == 730
    assert one.certainty is Certainty.ASK
    owner = Context(AS_OF, thresholds={"glycol_test_days": 731.0})
    assert ask("antifreeze-test-overdue", {**BY_MASS, "water.tested": "2024-11-25"}, context=owner) == "clear"
    later = Context(date(2026, 11, 26))
    assert ask("antifreeze-test-overdue", {**BY_MASS, "water.tested": "2025-11-24"}, context=later) == "found"


def test_hours_to_freezing_are_those_of_a_worked_example() -> None:
    # 55 F room, -10 F outdoors, 30 h: 30 h ln(65/42) = 13 h to 32 F (common practice, no source)
    changes = {**EMPTY, "settings.holiday_room": 55, "site.coldest": -10, "building.cooldown_time_constant": 30}
    one = finding("nobody-gets-an-alarm", changes)
    assert one.numbers["time to freezing"].value / 3600 == pytest.approx(30 * math.log(65 / 42))
    assert one.headline == "vacant building and nobody gets an alarm: freezes in about 13 h without heat"
    assert [one.numbers[name].value for name in ("room", "coldest")] == pytest.approx([celsius(55), celsius(-10)])
    assert one.certainty is Certainty.ASK
    slow = finding("nobody-gets-an-alarm", {**changes, "building.cooldown_time_constant": 500})
    assert "about 218 h without" in slow.headline  # 500 h x 0.4367
    frost = {**changes, "site.coldest": 33}
    assert finding("nobody-gets-an-alarm", frost).numbers == {}
    assert "freezes in" not in finding("nobody-gets-an-alarm", frost).headline


@pytest.mark.parametrize(
    ("occupants", "says"),
    [("vacant", "vacant building"), ("seasonal", "seasonal building"), ("none", "unused building")],
)
def test_who_is_away_is_said(occupants: str, says: str) -> None:
    assert says in finding("nobody-gets-an-alarm", {**EMPTY, "site.occupants": occupants}).message

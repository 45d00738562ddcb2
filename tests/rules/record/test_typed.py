# ruff: noqa: E501
"""What was typed, read back and by whom, at its boundaries. Common practice, no source.

Dates count from the check on 2026-11-25 and from the visit on 2026-10-06. The kit's control states 22 defaults.
"""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from tests.rules.earlier import earlier, past
from tests.rules.kit import METRIC, finding, make_plant, rule_named
from tests.rules.record.givens import CLASSES, DAY, NO_VISIT, as_bad_as_its_setting, point, setting
from tests.rules.tables import Cases, boundaries

SAME_FAN: Final = past(earlier("2026-03-01", {"maximum_fan_speed": 6100}))

CASES: Final[Cases] = [
    ("not-read-back", "clear", {}, {}),
    ("not-read-back", "found", {"visit.read_back": False}, {}),
    ("not-read-back", "found", {}, {"drop": ["visit.read_back"]}),
    ("not-read-back", "clear", setting("tank_setpoint", 145, on=DAY), {}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("tank_setpoint", 62.8, on="2026-10-07"), METRIC),
    ("not-read-back", "clear", setting("tank_setpoint", 145, on="2026-10-07", read_back=145), {}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on=DAY), NO_VISIT),
    ("not-read-back", "clear", {}, NO_VISIT),
    # classes: scald, hygiene, freezing, limits, firing; not heating, pumps or comfort
    ("not-read-back", "found", setting("hot_water_boiler_setpoint", 172, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("freeze_protection", True, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("high_limit", 206, on="2026-10-07"), {}),
    ("not-read-back", "found", setting("pre_purge", 15, on="2026-10-07"), {}),
    ("not-read-back", "clear", point(on="2026-10-07"), {}),
    ("not-read-back", "clear", setting("pump_overrun", 4, on="2026-10-07"), {}),
    ("not-read-back", "clear", setting("tank_setpoint", 145, on="2026-10-07"), {"control": {"setting.tank_setpoint.read_back": "not readable"}}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on="2026-10-07"), {"control": {"setting.tank_setpoint.read_back": "as typed"}}),
    ("not-read-back", "found", setting("tank_setpoint", 145, on="2026-10-07"), {"drop_control": ["setting.tank_setpoint"]}),
    ("typed-differs-from-read-back", "clear", point(read_back=164), {}),
    ("typed-differs-from-read-back", "found", point(read_back=163), {}),
    ("typed-differs-from-read-back", "clear", point(), {}),
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 73, read_back=73), METRIC),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 73, read_back=72), METRIC),
    # the control's step alone is no difference: 163 becomes 165; 62 C is 143.6 F, kept as 144 F and shown as 62.2 C
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 163, read_back=165), {"control": {"setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 163, read_back=160), {"control": {"setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 163, read_back=164), {"control": {"setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "clear", setting("heating_setpoint", 62, read_back=62.2), {"control": {"setting.heating_setpoint.step": 1}, "metric": True}),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 62, read_back=62.2), METRIC),
    ("typed-differs-from-read-back", "found", setting("heating_setpoint", 163, read_back=160), {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 160, "outside": "moved to the end"}, "setting.heating_setpoint.step": 5}}),
    ("typed-differs-from-read-back", "found", point(read_back=163), {"drop_control": ["setting.heating_setpoint"]}),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"left": "default", "value": 12}}, {}),
    ("default-seen-differs", "found", {"settings.heating_differential": {"left": "default", "value": 12.1}}, {}),
    ("default-seen-differs", "found", {"settings.heating_differential": {"left": "default", "value": 6.6}}, METRIC),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"left": "default"}}, {}),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"value": 13}}, {}),
    ("default-seen-differs", "clear", {"settings.heating_differential": {"left": "not reachable", "value": 13}}, {}),
    ("default-seen-differs", "not checked", {"settings.heating_differential": {"left": "default", "value": 13}}, {"drop_control": ["setting.heating_differential.default"]}),
    ("default-seen-differs", "not checked", {"settings.heating_differential": {"left": "default", "value": 13}}, {"drop_control": ["setting.heating_differential"]}),
    ("reason-missing", "found", setting("tank_setpoint", 146, on="2026-10-07"), {}),
    ("reason-missing", "clear", setting("tank_setpoint", 146, on="2026-10-07", why="water-safety plan"), {}),
    ("reason-missing", "clear", setting("tank_setpoint", 146, on=DAY), {}),
    ("reason-missing", "found", setting("tank_setpoint", 146, on=DAY), {"drop": ["visit.why"]}),
    ("reason-missing", "found", setting("tank_setpoint", 146, on=DAY), NO_VISIT),
    ("reason-missing", "clear", setting("tank_setpoint", 146), {"drop": ["visit.why"]}),
    ("reason-missing", "clear", point(on="2026-10-07"), {}),
    ("reason-missing", "found", setting("tank_setpoint", 63, on="2026-10-07"), METRIC),
    ("role-not-entitled", "found", {"visit.role": "heating technician", **setting("maximum_fan_speed", 6100, on=DAY)}, {}),
    ("role-not-entitled", "found", {"visit.role": "water-safety holder", **setting("maximum_fan_speed", 6100, on=DAY)}, {}),
    ("role-not-entitled", "found", {"visit.role": "caretaker", **setting("operating_limit", 190, on=DAY)}, {}),
    ("role-not-entitled", "found", {"visit.role": "caretaker", **setting("operating_limit", 88, on=DAY)}, METRIC),
    ("role-not-entitled", "found", {"visit.role": "occupant", **setting("fuel_setting", "natural gas", on=DAY)}, {}),
    ("role-not-entitled", "clear", {"visit.role": "maker", **setting("maximum_fan_speed", 6000, on=DAY)}, {}),
    ("role-not-entitled", "clear", setting("maximum_fan_speed", 6000, on=DAY), {}),
    ("role-not-entitled", "clear", {"visit.role": "caretaker", **setting("tank_setpoint", 145, on=DAY)}, past()),
    ("role-not-entitled", "clear", {"visit.role": "caretaker", **setting("maximum_fan_speed", 6000, on="2026-10-05")}, past()),
    ("role-not-entitled", "found", {"visit.role": "caretaker", "settings.maximum_fan_speed": 6000}, SAME_FAN),
    ("role-not-entitled", "clear", {"visit.role": "caretaker"}, SAME_FAN),
    ("role-not-entitled", "not checked", {"visit.role": "caretaker"}, {}),
    # all at its default and nothing else recorded: nothing was changed
    ("role-not-entitled", "clear", {"visit.role": "caretaker", "settings": {"maximum_fan_speed": 6100}}, {}),
    ("role-not-entitled", "not checked", {"visit.role": "caretaker", "settings": {"maximum_fan_speed": 6000}}, {}),
    # nothing of firing recorded at all
    ("role-not-entitled", "not checked", {"visit.role": "caretaker", "settings": {"heating_setpoint": 164}}, past()),
    ("role-not-entitled", "not checked", {}, {"drop": ["visit.role"]}),
    ("role-not-entitled", "not checked", {}, NO_VISIT),
    ("reading-marked-left-without-visit", "clear", point(read_back=164, on=DAY), {}),
    ("reading-marked-left-without-visit", "found", point(read_back=164, on="2026-10-07"), {}),
    ("reading-marked-left-without-visit", "clear", point(on="2026-10-07"), {}),
    ("reading-marked-left-without-visit", "clear", point(read_back=164), {}),
    ("reading-marked-left-without-visit", "found", point(read_back=164), {"drop": ["visit"]}),
    ("reading-marked-left-without-visit", "found", {}, NO_VISIT),
    ("reading-marked-left-without-visit", "clear", {"visit.read_back": False}, NO_VISIT),
    ("reading-marked-left-without-visit", "clear", {}, {"drop": ["visit"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_what_was_not_read_back_is_named_as_far_as_a_headline_holds_it() -> None:
    one = finding("not-read-back", {"visit.read_back": False})
    count = int(one.numbers["settings"].value)
    assert one.message.endswith(f" and {count - 2} more")
    assert one.message.count(",") == 1
    four = {
        name: {"value": 8, "on": "2026-10-07"}
        for name in ("pre_purge", "post_purge", "ignition_trials", "resets_per_hour")
    }
    exact = finding("not-read-back", {"settings": four})
    assert exact.message == "typed and not read back: pre-purge, post-purge and 2 more"


def test_what_explains_a_difference_is_said() -> None:
    bound = {"setting.heating_setpoint.range": {"low": 80, "high": 160, "outside": "moved to the end"}}
    explained = finding("typed-differs-from-read-back", point(read_back=160), control=bound)
    assert explained.message.endswith("reads back 160 F: explained by the control file (range)")
    other_ = finding("typed-differs-from-read-back", point(read_back=159), control=bound)
    assert other_.message == "heating set point typed 164 F, reads back 159 F: not explained by the control file"
    exact = finding(
        "typed-differs-from-read-back", point(read_back=163), control={"setting.heating_setpoint.read_back": "exact"}
    )
    assert exact.message == "heating set point typed 164 F, reads back 163 F: not explained by the control file"
    fan = {"setting.maximum_fan_speed.range": {"low": 1000, "high": 5800, "outside": "moved to the end"},
           "setting.maximum_fan_speed.default": 5800}  # fmt: skip
    firing = finding("typed-differs-from-read-back", setting("maximum_fan_speed", 6000, read_back=5800), control=fan)
    assert firing.message == (
        "maximum fan speed typed 6,000 rpm, reads back 5,800 rpm: explained by the control file (range)"
    )
    assert "1,000" not in firing.message


def test_a_visit_is_asked_for_where_values_are_marked_as_read_back() -> None:
    one = finding("reading-marked-left-without-visit", point(read_back=164, on="2026-10-07"))
    assert "after the last visit (2026-10-06)" in one.message
    none = finding("reading-marked-left-without-visit", point(read_back=164), drop=["visit.on"])
    assert "no visit recorded" in none.message
    assert none.at == "heating_setpoint"
    assert none.numbers["settings"].value == 2.0


def test_more_than_one_setting_is_told() -> None:
    changes = {
        "visit.role": "caretaker",
        **setting("maximum_fan_speed", 6000, on=DAY),
        **setting("high_limit", 207, on=DAY),
    }
    result = audit(make_plant(changes), [rule_named("role-not-entitled")])
    assert [one.at for one in result.findings] == ["maximum_fan_speed", "high_limit"]
    assert [lack.needs for lack in result.not_checked] == [("history",)]
    seen = {
        "settings.pre_purge": {"left": "default", "value": 16},
        "settings.post_purge": {"left": "default", "value": 20},
    }
    plant = make_plant(seen, drop_control=["setting.post_purge.default"])
    both = audit(plant, [rule_named("default-seen-differs")])
    assert [one.at for one in both.findings] == ["pre_purge"]
    assert [lack.needs for lack in both.not_checked] == [("post_purge",)]


def test_where_nothing_of_firing_is_recorded_the_first_setting_of_it_is_asked_for() -> None:
    plant = make_plant({"visit.role": "caretaker", "settings": {"heating_setpoint": 164}}, past=past()["past"])
    assert audit(plant, [rule_named("role-not-entitled")]).not_checked[0].needs == ("fuel_setting",)


@pytest.mark.parametrize(
    ("typed", "read_back", "said"),
    [
        (160.5, 160, "typed 160.5 F, reads back 160 F"),
        (160.25, 160.5, "typed 160.25 F, reads back 160.5 F"),
        (164, 163, "typed 164 F, reads back 163 F"),
    ],
)
def test_rounding_does_not_hide_what_differs(typed: float, read_back: float, said: str) -> None:
    assert (
        said in finding("typed-differs-from-read-back", setting("heating_setpoint", typed, read_back=read_back)).message
    )


@CLASSES
def test_a_wrong_record_is_as_bad_as_its_setting(name: str, value: float, severity: Severity, caution: str) -> None:
    one = finding("typed-differs-from-read-back", setting(name, value, read_back=value - 1))
    as_bad_as_its_setting(one, name, severity, caution)


def test_a_default_that_was_read_back_otherwise_is_told_once() -> None:
    back = {"settings.heating_differential": {"left": "default", "read_back": 13}}
    assert finding("default-seen-differs", back).message.startswith("heating differential at default reads 13 F")
    factory = {"setting.heating_differential": {"treatments": [], "access": "factory", "default": 12}}
    result = audit(make_plant(back, control=factory), all_rules())
    told = {one.rule for one in result.findings if one.at == "heating_differential"}
    assert "read-back-contradicts-control-file" in told
    assert not told & {"default-seen-differs", "typed-differs-from-read-back"}

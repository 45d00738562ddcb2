# ruff: noqa: E501
"""Whether the record is kept, at its boundaries. Common practice, no source.

Dates count from the check on 2026-11-25 and from the visit on 2026-10-06.
"""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules.base import DANGER, WASTE, Certainty, Severity
from settingslint.rules.plant import Context
from tests.rules.kit import AS_OF, METRIC, finding, make_plant, rule_named
from tests.rules.record.givens import NO_VISIT, point
from tests.rules.tables import Cases, boundaries, edge, lacking, places

NOT_YET: Final = {"plant.first_fired": False}
SECRET: Final = "PIN 1234"

CASES: Final[Cases] = [
    # 400 days before the check
    *edge("record-old", {}, "visit.on", "2025-10-21", "2025-10-20"),
    *edge("record-old", {}, "visit.on", "2026-10-06", "2026-10-05", context=Context(AS_OF, {"record_days": 50.0})),
    ("record-old", "not checked", {}, NO_VISIT),
    ("service-code-as-delivered", "found", {"visit.service_code_default": True}, {}),
    ("service-code-as-delivered", "clear", {}, {}),
    ("service-code-as-delivered", "not checked", {}, {"drop": ["visit.service_code_default"]}),
    *edge("serial-unlike-plate", {}, "boiler.serial_on_plate", " k-1", "K-2"),
    ("serial-unlike-plate", "clear", {"plant.serial": "k-1 "}, {}),
    *lacking("serial-unlike-plate", {}, "boiler.serial_on_plate", "plant.serial"),
    *edge("control-revision-unknown", {}, "plant.revision", "4", "6"),
    ("control-revision-unknown", "not checked", {}, {"drop": ["plant.revision"]}),
    ("control-revision-unknown", "not checked", {}, {"drop_control": ["control.revisions"]}),
    ("remote-writer-without-owner", "found", {"accessories.remote_writer": True}, {}),
    ("remote-writer-without-owner", "clear", {"accessories.remote_writer": True, "accessories.remote_writer_owner": "estates desk"}, {}),
    ("remote-writer-without-owner", "clear", {}, {}),
    ("remote-writer-without-owner", "not checked", {}, {"drop": ["accessories.remote_writer"]}),
    ("guessed-facts", "found", {"building.design_load": {"value": 88000, "from": "guessed"}}, {}),
    ("guessed-facts", "clear", {"building.design_load": {"value": 88000, "from": "owner said"}}, {}),
    ("guessed-facts", "clear", {}, {}),
    ("guessed-facts", "found", {"emitter.0.load": {"value": 88000, "from": "guessed"}}, {}),
    ("guessed-facts", "found", {"building.design_load": {"value": 26, "from": "guessed"}}, METRIC),
    # five years are 1,826.25 days
    ("facts-old", "clear", {"building.design_load": {"value": 88000, "on": "2021-11-25"}}, {}),
    ("facts-old", "found", {"building.design_load": {"value": 88000, "on": "2021-11-24"}}, {}),
    ("facts-old", "found", {"emitter.0.load": {"value": 88000, "on": "2021-11-24"}}, {}),
    ("facts-old", "clear", {}, {}),
    ("facts-old", "clear", {"building.design_load": {"value": 26, "on": "2021-11-24"}}, {"metric": True, "context": Context(AS_OF, {"fact_days": 2000.0})}),
    *[
        ("secret-in-record", "clear", {"visit.why": text}, {})
        for text in (
            "key with the caretaker", "fault code 140", "error code 1403 again", "size code 120", "fuel gas code 2018",
            "as agreed on 2026-10-06", "work order W-2026-000118", "high limit alarm at 190 F", "raised from 120 to 130",
            "building code 2021, section 403", "pin 12 of the plug", "serial 0012345678"[:-3], "see note 555-0199",
            "counter 31000 and 15000", "code of the size: middle", "2,000 ft", "code 4711",
        )
    ],
    # nine digits make a telephone number
    *edge("secret-in-record", {}, "visit.why", "call 01 23 45 67", "call 01 23 45 678"),
    *edge("date-in-the-future", {}, "visit.on", "2026-11-25", "2026-11-26"),
    ("date-in-the-future", "clear", point(on="2026-11-25"), {}),
    ("date-in-the-future", "found", point(on="2026-11-26"), {}),
    ("date-in-the-future", "not checked", {}, NO_VISIT),
    ("fired-though-not-yet", "found", NOT_YET, {}),
    ("fired-though-not-yet", "found", NOT_YET, {"drop": ["counters"]}),
    ("fired-though-not-yet", "found", NOT_YET, {"drop": ["counters", "combustion.high"]}),
    ("fired-though-not-yet", "found", {**NOT_YET, "counters.starts": 0}, {"drop": ["combustion"]}),
    ("fired-though-not-yet", "found", {**NOT_YET, "counters.burner_hours": 0}, {"drop": ["combustion"]}),
    ("fired-though-not-yet", "clear", NOT_YET, {"drop": ["counters", "combustion"]}),
    ("fired-though-not-yet", "clear", {}, {}),
    ("fired-though-not-yet", "not checked", {}, {"drop": ["plant.first_fired"]}),
    # the boiler first fired on 2024-09-03
    ("setting-dated-too-early", "clear", point(on="2023-09-03"), {}),
    ("setting-dated-too-early", "found", point(on="2023-09-02"), {}),
    ("setting-dated-too-early", "found", point(on="1989-12-31"), {"drop": ["plant.first_fired"]}),
    ("setting-dated-too-early", "found", {**point(on="1989-12-31"), "plant.first_fired": "1989-12-31"}, {}),
    ("setting-dated-too-early", "clear", {**point(on="1990-01-01"), "plant.first_fired": "1990-01-01"}, {}),
    ("setting-dated-too-early", "not checked", point(on="2023-09-02"), {"drop": ["plant.first_fired"]}),
    ("setting-dated-too-early", "clear", {}, {}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_a_setting_with_a_date_to_come_is_as_bad_as_its_class() -> None:
    """Who changed it and whether that was proved hangs on that date: by it a danger could vanish."""
    for name, severity in (("maximum_fan_speed", DANGER), ("heating_setpoint", WASTE)):
        plant = make_plant({f"settings.{name}": {"value": 170, "on": "2026-11-26"}})
        (one,) = (one for one in audit(plant, [rule_named("date-in-the-future")]).findings if one.at == name)
        assert one.severity is severity


test_where_secrets_are_looked_for = places([
    ("secret-in-record", {"visit.by": SECRET}, {}, Severity.OUTAGE, "visit.by"),
    ("secret-in-record", {"visit.fault_cause": SECRET}, {}, Severity.OUTAGE, "visit.fault_cause"),
    ("secret-in-record", point(why=SECRET), {}, Severity.OUTAGE, "heating_setpoint"),
    ("secret-in-record", point(by=SECRET), {}, Severity.OUTAGE, "heating_setpoint"),
    ("secret-in-record", point(watched_by=SECRET), {}, Severity.OUTAGE, "heating_setpoint"),
    ("secret-in-record", {"accepted": [{"rule": "record-old", "because": SECRET}]}, {}, Severity.OUTAGE, "accepted[0]"),
    ("secret-in-record", {"accepted": [{"rule": "record-old"}, {"rule": "record-old", "by": SECRET}]}, {},
     Severity.OUTAGE, "accepted[1]"),
])  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "key safe code 4711 at the side door", "alarm code is 123", "Access code: 90210", "code is 1234",
        "the code = 456", "password winter2026", "PIN 1234", "passcode: 9999", "lockbox 815 by the gate",
        "call 0171 555 0199", "+44 171 555 0199", "(555) 010-0199", "555-010-0199", "mail a.lund@example.org",
    ],
)  # fmt: skip
def test_what_looks_like_a_secret(text: str) -> None:
    one = finding("secret-in-record", {"visit.why": text})
    assert one.at == "visit.why"
    assert text not in one.message
    assert one.certainty is Certainty.LIKELY


def test_as_many_facts_are_named_as_a_headline_holds() -> None:
    names = ["design_load", "balance_point", "indoor_design", "cooldown_time_constant", "setback_warm_up", "mass"]
    values = make_plant().profile.facts
    guessed = {f"building.{name}": {"value": "light" if name == "mass" else 50, "from": "guessed"} for name in names}
    assert all(name in values for name in guessed)
    assert finding("guessed-facts", guessed).message.endswith("guessed: balance point and 5 more")
    del guessed["building.mass"]
    five = finding("guessed-facts", guessed)
    assert len(five.says) <= 90
    assert five.numbers["guessed"].value == 5.0
    old = {name: {"value": 50, "on": "2020-01-01"} for name in guessed}
    assert finding("facts-old", old).numbers["old"].value == 5.0


def test_a_burner_that_burned_is_not_passed_as_one_that_never_fired() -> None:
    name = "combustion-reading-missing-or-old"
    old = {**NOT_YET, "combustion.high.on": "2020-10-06", "combustion.low.on": "2020-10-06"}
    result = audit(make_plant(old), [rule_named(name), rule_named("fired-though-not-yet")])
    assert [one.at for one in result.findings] == ["plant.first_fired"]
    assert name in {one.rule for one in result.not_checked} and name not in result.not_applicable


def test_a_setting_from_before_the_boiler_is_as_bad_as_its_class() -> None:
    for name, severity in (("maximum_fan_speed", DANGER), ("heating_setpoint", WASTE)):
        early = {f"settings.{name}": {"value": 170, "on": "1969-01-01"}}
        assert finding("setting-dated-too-early", early).severity is severity

"""What an owner may set: numbers within bounds, severities and acceptances, none of which hides a danger unseen."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree

import pytest

from settingslint.checking.check import check
from settingslint.checking.report import Report, key_of
from settingslint.files.owner import owner_of
from settingslint.files.portfolio import Portfolio
from settingslint.model.source import parse
from settingslint.output import FORMS, Look, render
from settingslint.output.owner import owner_words
from settingslint.rules import all_rules
from settingslint.rules.base import DANGER, OUTAGE, Finding, Threshold
from settingslint.rules.plant import Context
from settingslint.rules.record.acceptance import LONGEST, has_words
from settingslint.units import Kind, System, from_si, to_si
from tests.rules.kit import AS_OF, control_data, profile_data, put, rule_named
from tests.strategies import text_of

NUMBERS: Final[Mapping[str, Threshold]] = {
    one.name: one for one in [*(one for rule in all_rules() for one in rule.thresholds), LONGEST]
}
SYSTEMS: Final[tuple[System, ...]] = ("us", "metric")
HEAD: Final = 'format = 1\nname = "Kit"\nunits = "us"\n'


def portfolio(folder: Path, owner: str, changes: Mapping[str, Any] | None = None, head: str = HEAD) -> Report:
    """Return what is said of a portfolio of the kit's plant with changes, whose owner sets something."""
    for name in ("controls", "sites"):
        (folder / name).mkdir(exist_ok=True, parents=True)
    profile = profile_data()
    put(profile, changes or {})
    (folder / "controls" / "kit.toml").write_text(text_of(control_data()), encoding="utf-8")
    (folder / "sites" / "one.toml").write_text(text_of(profile), encoding="utf-8")
    (folder / "portfolio.toml").write_text(head + owner, encoding="utf-8")
    return check([folder], AS_OF)


def found(report: Report, rule: str) -> list[Finding]:
    """Return what a rule found."""
    return [one for result in report.results for one in result.findings if one.rule == rule]


# bounds ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NUMBERS)
def test_the_tools_own_number_lies_within_its_bounds_and_they_have_a_reason(name: str) -> None:
    one = NUMBERS[name]
    assert one.low <= one.value <= one.high and one.low < one.high
    assert one.takes(one.low) and one.takes(one.high) and one.takes(one.value)
    assert has_words(one.reason)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NUMBERS)
def test_what_is_ten_times_off_or_has_the_wrong_sign_is_refused(name: str, system: System) -> None:
    one = NUMBERS[name]
    shown = from_si(one.value, one.kind, system)
    assert not one.takes(to_si(shown * 10, one.kind, system))
    assert not one.takes(to_si(-shown, one.kind, system))
    for absurd in (float("nan"), float("inf"), float("-inf"), 1e12, -999.0, 5e-324 if one.low > 0 else -1e12):
        assert not one.takes(absurd), absurd
    # the least that can be wrong by a tenth is a number whose stricter end is low on purpose
    if name not in ("longest_days", "never_cold"):
        assert not one.takes(to_si(shown / 10, one.kind, system))


@pytest.mark.parametrize("name", NUMBERS)
def test_what_is_in_another_unit_is_refused(name: str) -> None:
    one = NUMBERS[name]
    us, metric = (from_si(one.value, one.kind, system) for system in SYSTEMS)
    wrong = {
        Kind.POINT: [to_si(us, one.kind, "metric"), to_si(metric, one.kind, "us")],
        Kind.HOURS: [one.value * 60, one.value / 60],
        Kind.MINUTES: [one.value * 60, one.value / 60],
        Kind.RATIO: [one.value * 100],
        Kind.PRESSURE: [to_si(us, one.kind, "metric"), to_si(metric, one.kind, "us")],
    }.get(one.kind, [])
    if one.name.endswith("_days") and one is not LONGEST:
        wrong += [one.value / 30.4, one.value * 24]
    for number in wrong:
        assert not one.takes(number), number


HOT: Final = {"hot_water.outlet_measured": 121}
TAP: Final = "tap-too-hot"
BAD: Final = {
    "[thresholds]\ntap_maximum = 999\n": "tap_maximum = 999 F: it must be within 100 to 122 F",
    "[thresholds]\ntap_maximum = 122.1\n": "it must be within 100 to 122 F (HSE HSG274 part 2: 50 C (122 F) at the tap",
    "[thresholds]\ntap_maximum = 49\n": "tap_maximum = 49 F: it must be within 100 to 122 F",
    "[thresholds]\ntap_maximum = -121\n": "tap_maximum = -121 F",
    "[thresholds]\ntap_maximum = 0\n": "tap_maximum = 0 F",
    "[thresholds]\ntap_maximum = 1e12\n": "it must be within 100 to 122 F",
    "[thresholds]\ntap_maximum_vulnerable = 120\n": "it must be within 98.6 to 114.8 F",
    "[thresholds]\nvalve_test_days = 3650\n": "valve_test_days = 3650: it must be within 60 to 400 (common practice",
    "[thresholds]\nnever_cold = -40\n": "never_cold = -40 F: it must be within 32 to 50 F (water freezes",
    "[thresholds]\nboiling_margin = 0\n": "boiling_margin = 0 F: it must be within 5 to 40 F",
    "[thresholds]\nplate_input_off = 5\n": "plate_input_off = 5: it must be within 0.01 to 0.1",
    "[thresholds]\nloop_return_minimum = 50\n": "loop_return_minimum = 50 F: it must be within 120 to 150 F",
    "[thresholds]\ntank_minimum = -999\n": "tank_minimum = -999 F: it must be within 131 to 167 F",
    "[thresholds]\ncombustion_reading_days = 1e12\n": "it must be within 90 to 762",
    "[thresholds]\nlongest_days = 400\n": "unknown threshold longest_days",
    '[severities]\nno-such-rule = "waste"\n': "unknown rule no-such-rule",
    "[acceptance]\nlongest_days = 732\n": "longest_days = 732: it must be within 1 to 731",
    "[acceptance]\nlongest_days = 36500\n": "longest_days = 36500: it must be within 1 to 731",
    "[acceptance]\nlongest_days = 0\n": "longest_days = 0: it must be within 1 to 731",
    "[acceptance]\nlongest_days = -1\n": "longest_days = -1: it must be within 1 to 731",
}  # fmt: skip


@pytest.mark.parametrize("owner", BAD)
def test_a_number_outside_its_bounds_is_a_problem_and_the_tools_own_holds(tmp_path: Path, owner: str) -> None:
    report = portfolio(tmp_path, owner, HOT)
    [problem] = report.problems
    assert problem.file.endswith("portfolio.toml") and problem.line == HEAD.count("\n") + 2
    assert BAD[owner] in problem.message
    assert "the tool's own" in problem.message or "unknown" in problem.message
    assert report.exit_status(None) == 2
    assert [one.severity for one in found(report, TAP)] == [DANGER]
    assert not report.portfolio.context.thresholds and not owner_words(report)
    for form in FORMS:
        assert problem.message[:20] in render(form, report, Look(10**4)).replace("\\", ""), form


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e13", '"122"', "true", "[122]", "{ value = 122 }"])
def test_what_is_no_number_is_refused_with_its_place(tmp_path: Path, value: str) -> None:
    report = portfolio(tmp_path, f"[thresholds]\ntap_maximum = {value}\n", HOT)
    assert report.exit_status(None) == 2
    assert [(one.line, one.column) for one in report.problems] == [(HEAD.count("\n") + 2, 15)]
    assert [one.severity for one in found(report, TAP)] == [DANGER]


def test_a_number_with_a_unit_needs_the_unit_system(tmp_path: Path) -> None:
    without = 'format = 1\nname = "Kit"\n'
    report = portfolio(tmp_path, "[thresholds]\nshort_of_need = 4\nrecord_days = 300\n", head=without)
    [problem] = report.problems
    assert "short_of_need: F or K? write units" in problem.message and problem.line == 4
    assert report.portfolio.context.thresholds == {"record_days": 300.0}


def test_a_number_within_its_bounds_holds(tmp_path: Path) -> None:
    report = portfolio(tmp_path, "[thresholds]\ntap_maximum = 122\n", HOT)
    assert not report.problems and not found(report, TAP)
    assert not found(portfolio(tmp_path, "[thresholds]\ntap_maximum = 50\n", HOT, HEAD.replace("us", "metric")), TAP)


# first, in every form -------------------------------------------------------------------------------------------------

OWNER: Final = (
    "[thresholds]\ntap_maximum = 122\nrecord_days = 400\nloop_drop_maximum = 12.5\n[acceptance]\nlongest_days = 400\n"
    '[severities]\nfuel-setting-unlike-gas = "waste"\nlow-fire-raised = "record"\nhigh-limit-too-near = "danger"\n'
)
FUEL: Final = {"rule": "fuel-setting-unlike-gas", "setting": "fuel_setting"}
FULL: Final = {"because": "conversion is booked", "by": "M. Okoro", "until": "2026-12-20"}
RAISED: Final = {"rule": "low-fire-raised"}
TRIPS: Final = {"gas.fuel": "propane", "settings.minimum_fan_speed": 1400}
LINES: Final = (
    "owner's number: tap_maximum 122 F, the tool has 120 F",
    "owner's number: loop_drop_maximum 12.5 F, the tool has 9 F",
    "owner's number: longest_days 400, the tool has 366",
    "severity lowered: fuel-setting-unlike-gas danger -> waste",
    "severity lowered: low-fire-raised waste -> record",
    "accepted danger: Mill Lane Hall, Boiler 1: fuel-setting-unlike-gas (fuel_setting) by M. Okoro until 2026-12-20:"
    " conversion is booked",
    "accepted: low-fire-raised (record) at 1 plant",
)


def owned(folder: Path) -> Report:
    """Return the report of a portfolio whose owner sets and accepts all that there is."""
    return portfolio(folder, OWNER, {**TRIPS, "accepted": [{**FUEL, **FULL}, RAISED]})


def test_what_the_owner_sets_and_accepts_is_told_in_one_line_each(tmp_path: Path) -> None:
    report = owned(tmp_path)
    assert not report.problems
    assert tuple(word.line for word in owner_words(report)) == LINES
    places = [word.place for word in owner_words(report)]
    assert [place.line for place in places[:5]] == [5, 7, 9, 11, 12]
    assert all(place.file.endswith("portfolio.toml") for place in places[:5])
    assert all(place.file.endswith("one.toml") for place in places[5:])


def _in_text(text: str) -> list[str]:
    return text.split("\n\n")[0].split("\n")


def _in_json(text: str) -> list[str]:
    data = json.loads(text)
    assert list(data).index("owner") < list(data).index("plants")
    return [f"{one['what']}: {one['text']}" for one in data["owner"]]


def _in_sarif(text: str) -> list[str]:
    notes = json.loads(text)["runs"][0]["invocations"][0]["toolExecutionNotifications"]
    own = [note["descriptor"]["id"] for note in notes].count("owner")
    return [note["message"]["text"] for note in notes[:own]]


def _in_junit(text: str) -> list[str]:
    suite = next(ElementTree.fromstring(text).iter("testsuite"))
    return [one.get("message", "") for one in suite.iter("skipped")]


def _in_markdown(text: str) -> list[str]:
    part = text.split("### ")[1].split("\n")
    return [line.removeprefix("- ").replace("\\", "") for line in part if line.startswith("- ")]


def _in_csv(text: str) -> list[str]:
    lines = []
    for row in list(csv.DictReader(io.StringIO(text)))[: len(LINES)]:
        name = row["setting"] if row["severity"] == "owner's number" else row["rule"]
        lines.append(f"{row['severity']}: {name}")
        if row["severity"] == "accepted danger":
            assert all(FULL[key] in row["headline"] for key in ("by", "until", "because"))
            assert (row["site"], row["plant"]) == ("Mill Lane Hall", "Boiler 1")
            assert row["accepted until"] == FULL["until"]
        assert f"{row['severity']}: {row['headline']}" in LINES
    return lines


READ: Final[Mapping[str, Callable[[str], list[str]]]] = {
    "text": _in_text, "json": _in_json, "sarif": _in_sarif, "junit": _in_junit, "markdown": _in_markdown,
    "csv": _in_csv,
}  # fmt: skip


@pytest.mark.parametrize("all_known", [False, True])
@pytest.mark.parametrize("form", FORMS)
def test_they_stand_first_in_every_form_whatever_was_there_before(tmp_path: Path, form: str, all_known: bool) -> None:
    report = owned(tmp_path)
    if all_known:
        known = frozenset(key_of(result, one) for result in report.results for one in result.findings)
        report = replace(report, known=known, known_from="HEAD")
    told = READ[form](render(form, report, Look()))
    if form == "csv":
        assert told == [
            *(f"owner's number: {name}" for name in ("tap_maximum", "loop_drop_maximum", "longest_days")),
            "severity lowered: fuel-setting-unlike-gas", "severity lowered: low-fire-raised",
            "accepted danger: fuel-setting-unlike-gas", "accepted: low-fire-raised",
        ]  # fmt: skip
    elif form == "markdown":  # of which only the first may have room in front
        assert told[0].startswith("accepted danger: ") and sorted(told) == sorted(LINES)
    else:
        assert tuple(told) == LINES


@pytest.mark.parametrize("form", FORMS)
def test_where_the_owner_says_nothing_there_is_no_such_part(tmp_path: Path, form: str) -> None:
    report = portfolio(tmp_path, "[thresholds]\ntap_maximum = 120\nloop_drop_maximum = 9\n", TRIPS)
    assert not owner_words(report)
    text = render(form, report, Look())
    assert all(
        words not in text
        for words in ("owner's number:", "severity lowered:", "### What the owner", 'name="What the owner')
    )


def test_a_severity_is_lowered_where_what_is_found_is_worse_than_the_rule(tmp_path: Path) -> None:
    over = {"settings.tank_setpoint": {"value": 145, "until": "2026-11-01", "then": 140}}
    name = "temporary-change-overdue"
    assert rule_named(name).severity is OUTAGE
    report = portfolio(tmp_path, f'[severities]\n{name} = "outage"\n', over)
    assert [(one.severity, one.tool_severity) for one in found(report, name)] == [(OUTAGE, DANGER)]
    assert [word.line for word in owner_words(report)] == [f"severity lowered: {name} danger -> outage"]
    assert not owner_words(portfolio(tmp_path, f'[severities]\n{name} = "outage"\n'))
    assert not owner_words(portfolio(tmp_path, f'[severities]\n{name} = "danger"\n', over))


def test_owner_of_keeps_the_places(tmp_path: Path) -> None:
    owner = owner_of(parse((HEAD + OWNER).encode(), "portfolio.toml"))
    assert [(one.threshold.name, one.place.line) for one in owner.numbers] == [
        ("tap_maximum", 5), ("record_days", 6), ("loop_drop_maximum", 7), ("longest_days", 9),
    ]  # fmt: skip
    assert not Portfolio(tmp_path, "P", Context(AS_OF)).owner.numbers

"""`--form junit` against an XSD of the format, by `xmlschema`; and its counts against its own elements."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest
import xmlschema

from settingslint.checking.audit import audit
from settingslint.checking.report import Report, key_of
from settingslint.output import Look, render
from settingslint.output.owner import TITLE
from settingslint.rules import all_rules
from tests.output.outside import JUNIT, outside
from tests.output.reports import HOSTILE, hostile, one_cause, ordinary, report_of
from tests.rules.kit import make_plant


def root_of(report: Report) -> ElementTree.Element:
    return ElementTree.fromstring(render("junit", report, Look()).encode("utf-8"))


@pytest.fixture(scope="module")
def official() -> Any:
    return xmlschema.XMLSchema(str(outside(JUNIT)))


def test_the_xsd_accepts_a_report(official: Any) -> None:
    official.validate(render("junit", ordinary(), Look()))


def test_the_xsd_accepts_all_real_rules(official: Any) -> None:
    rules = all_rules()
    plant = make_plant({"settings.keep_warm": 3, "settings.high_limit": 192}, drop=["building"])
    official.validate(render("junit", report_of(audit(plant, rules), rules=rules), Look()))


@pytest.mark.parametrize("text", HOSTILE)
def test_the_xsd_accepts_hostile_text(official: Any, text: str) -> None:
    official.validate(render("junit", hostile(text), Look()))


def test_the_xsd_notices(official: Any) -> None:
    text = render("junit", ordinary(), Look()).replace("<skipped", "<left-out")
    assert not official.is_valid(text)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_well_formed_and_adds_no_element(text: str) -> None:
    root, plain = root_of(hostile(text)), root_of(hostile("plain"))
    assert [one.tag for one in root.iter()] == [one.tag for one in plain.iter()]


def test_a_suite_for_each_plant_and_counts_that_add_up() -> None:
    root = root_of(ordinary())
    suites = list(root.iter("testsuite"))
    assert [one.get("name") for one in suites] == [
        TITLE, "Mill Lane Hall: Boiler 1", "Mill Lane Hall: Boiler 2", "Quay House: Boiler 1", "unreadable",
    ]  # fmt: skip
    for suite in suites:
        cases = list(suite.iter("testcase"))
        assert suite.get("tests") == str(len(cases))
        for attribute, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
            assert suite.get(attribute) == str(len(list(suite.iter(tag))))
        assert len({(one.get("classname"), one.get("name")) for one in cases}) == len(cases)


def test_found_fails_not_checked_is_skipped_and_accepted_passes() -> None:
    _, first, second, third, _ = root_of(ordinary()).iter("testsuite")
    states = {
        case.get("name"): [child.tag for child in case] for suite in (first, second) for case in suite.iter("testcase")
    }
    assert [child.tag for child in first.iter("testcase")] and states["store-too-warm"] == ["system-out"]
    in_first = {case.get("name"): [child.tag for child in case] for case in first.iter("testcase")}
    assert in_first == {
        "store-too-warm": ["failure"], "plate-kept-warm": ["failure"], "ask-about-the-loop": ["failure"],
        "gas-known": ["skipped"],
    }  # fmt: skip
    skipped = [one.get("message") for one in third.iter("skipped")]
    assert skipped == ["not checked: needs tank_setpoint", "not checked: needs gas.fuel"]


def test_what_was_there_before_does_not_fail() -> None:
    plain = ordinary()
    known = frozenset(key_of(result, one) for result in plain.results for one in result.findings)
    root = root_of(Report(plain.portfolio, plain.results, (), plain.rules, known, "HEAD"))
    assert list(root.iter("failure")) == []


def test_the_message_is_the_headline_and_the_text_has_the_rest() -> None:
    (suite,) = root_of(one_cause()).iter("testsuite")
    cases = {case.get("name"): case[0] for case in suite.iter("testcase") if len(case)}
    failure, asked = cases["tank-below-hygiene-temperature"], cases["tap-too-hot"]
    assert failure.get("message") == "the store runs at 145 F"
    assert str(failure.text).splitlines()[1:4] == ["assumes one tank", "owner's number 50 C", "fix: lower the store"]
    assert "same cause: cool-tank-without-hygiene-measure: the store runs at 145 F" in str(failure.text)
    assert asked.tag == "skipped"
    assert asked.get("message") == "danger (ask): Is there a mixing valve? if not: the store runs at 145 F"

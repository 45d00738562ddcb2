"""`--form sarif` against the official schema of SARIF 2.1.0 (OASIS), and what review tools need beyond it."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any
from urllib.parse import unquote_to_bytes

import jsonschema
import pytest

from settingslint.checking.audit import audit
from settingslint.checking.report import Report, key_of
from settingslint.output import Look, render
from settingslint.rules import all_rules
from tests.output.outside import SARIF, outside
from tests.output.reports import HOSTILE, hostile, one_cause, ordinary, report_of
from tests.rules.kit import make_plant


def run_of(report: Report) -> Any:
    text = render("sarif", report, Look())
    text.encode("utf-8")
    return json.loads(text)["runs"][0]


@pytest.fixture(scope="module")
def official() -> Any:
    schema = json.loads(outside(SARIF).read_text(encoding="utf-8"))
    assert "2.1.0" in schema["title"]
    return jsonschema.validators.validator_for(schema)(schema, format_checker=jsonschema.FormatChecker())


def test_the_official_schema_accepts_a_report(official: Any) -> None:
    official.validate(json.loads(render("sarif", ordinary(), Look())))


def test_the_official_schema_accepts_all_real_rules(official: Any) -> None:
    rules = all_rules()
    plant = make_plant({"settings.keep_warm": 3, "settings.high_limit": 192, "settings.tank_setpoint": 118})
    official.validate(json.loads(render("sarif", report_of(audit(plant, rules), rules=rules), Look())))


@pytest.mark.parametrize("text", HOSTILE)
def test_the_official_schema_accepts_hostile_text(official: Any, text: str) -> None:
    official.validate(json.loads(render("sarif", hostile(text), Look())))


def test_the_official_schema_notices(official: Any) -> None:
    log = json.loads(render("sarif", ordinary(), Look()))
    log["runs"][0]["results"][0]["level"] = "danger"
    assert not official.is_valid(log)


def test_levels_places_help_and_suppressions() -> None:
    run = run_of(ordinary())
    rules = run["tool"]["driver"]["rules"]
    assert [one["id"] for one in rules] == ["store-too-warm", "plate-kept-warm", "ask-about-the-loop", "gas-known"]
    assert all(one["help"]["text"] and one["fullDescription"]["text"] for one in rules)
    results = run["results"]
    assert all(rules[one["ruleIndex"]]["id"] == one["ruleId"] for one in results)
    assert [one["level"] for one in results[:3]] == ["error", "warning", "note"]
    region = results[0]["locations"][0]["physicalLocation"]["region"]
    assert region["startLine"] >= 1 and region["startColumn"] >= 1
    assert [one["ruleId"] for one in results if "suppressions" in one] == ["store-too-warm"]
    notes = run["invocations"][0]["toolExecutionNotifications"]
    assert [one["descriptor"]["id"] for one in notes].count("unreadable") == 1
    assert run["invocations"][0]["executionSuccessful"] is False


def test_the_official_schema_accepts_related_findings_and_questions(official: Any) -> None:
    official.validate(json.loads(render("sarif", one_cause(), Look())))


def test_one_cause_and_what_stands_beside_the_headline() -> None:
    likely, speaks, asked, waste = run_of(one_cause())["results"]
    assert speaks["message"]["text"] == "the store runs at 145 F"
    assert (speaks["properties"]["fix"], speaks["properties"]["assumption"]) == (
        "lower the store", "assumes one tank; owner's number 50 C",
    )  # fmt: skip
    (other,) = speaks["relatedLocations"]
    assert other["physicalLocation"]["region"]["startLine"] == 7
    assert other["message"]["text"].startswith("cool-tank-without-hygiene-measure: ")
    assert "relatedLocations" not in likely and "fix" not in waste["properties"]
    assert (asked["kind"], asked["level"], asked["message"]["text"]) == ("open", "none", "Is there a mixing valve?")
    assert (asked["properties"]["case"], asked["properties"]["says"]) == ("if not", "the store runs at 145 F")


def test_fingerprints_survive_moved_lines_and_changed_numbers_and_tell_findings_apart() -> None:
    plain = ordinary()
    moved = [
        replace(
            result,
            findings=tuple(replace(one, line=one.line + 9, column=1, says="other") for one in result.findings),
        )
        for result in plain.results
    ]
    before = [one["partialFingerprints"] for one in run_of(plain)["results"]]
    after = [one["partialFingerprints"] for one in run_of(report_of(*moved))["results"]]
    assert before == after
    assert len({json.dumps(one) for one in before}) == len(before)


def test_new_and_unchanged() -> None:
    plain = ordinary()
    result = plain.results[0]
    known = frozenset({key_of(result, result.findings[0])})
    run = run_of(Report(plain.portfolio, plain.results, (), plain.rules, known, "HEAD"))
    assert [one["baselineState"] for one in run["results"]].count("unchanged") == 1


def test_messages_hold_no_link_and_nothing_hidden() -> None:
    for text in HOSTILE:
        for result in run_of(hostile(text))["results"]:
            message = result["message"]["text"]
            assert "](" not in message
            assert all(char == "\n" or char.isprintable() for char in message)


def test_a_file_s_name_comes_back_from_its_uri() -> None:
    """RFC 3986: percent-encoded bytes; a name on the disk need not be UTF-8."""
    name = "sites/a b/caf\udce9 100%.toml"
    report = report_of(replace(ordinary().results[0], path=name))
    uri = run_of(report)["invocations"][0]["toolExecutionNotifications"][0]["locations"][0]["physicalLocation"]
    decoded = unquote_to_bytes(uri["artifactLocation"]["uri"])
    assert decoded == b"sites/a b/caf\xe9 100%.toml"

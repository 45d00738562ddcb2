"""A thin record in every form: four numbers of coverage, the certainty, what is asked and assumed, what to ask next."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from datetime import date
from typing import Any
from xml.etree import ElementTree

import pytest
import xmlschema

from settingslint.output import Look, render
from settingslint.output.questions import NEXT
from tests.output.outside import JUNIT, outside
from tests.output.reports import ordinary, report_of, thin
from tests.output.test_json import data_of

WORDS = "1 rule checked, 2 checked with assumptions, 1 not checked, 0 do not apply"
MIXING = "hot_water.mixing_valve"


def text_of(form: str) -> str:
    return render(form, thin(), Look(10**6))


def test_json() -> None:
    data = data_of(thin())
    (plant,) = data["plants"]
    assert plant["checked"] == ["plate-kept-warm"]
    assert plant["assumed"] == ["store-too-warm", "ask-about-the-loop"]
    assert [one["rule"] for one in plant["not_checked"]] == ["gas-known"] and plant["not_applicable"] == []
    assert [(one["certainty"], one["asks"], one["assumed"]) for one in plant["findings"]] == [
        ("ask", [MIXING], []), ("likely", [], ["site.coldest"]),
    ]  # fmt: skip
    assert [(one["name"], one["worst"]) for one in plant["questions"]] == [
        (MIXING, "danger"), ("site.coldest", "waste"), ("gas.fuel", None),
    ]  # fmt: skip
    counts = [data["totals"][name] for name in ("checked", "assumed", "not_checked", "not_applicable")]
    assert counts == [1, 2, 1, 0]
    assert data["totals"]["questions"][0]["plants"] == [{"site": "Mill Lane Hall", "plant": "Boiler 1"}]


def test_text_ends_with_the_questions_that_matter_most() -> None:
    assert any(line.endswith(WORDS) for line in render("text", thin(), Look(10**6, full=True)).splitlines())
    lines = text_of("text").splitlines()
    assert sum("danger (ask): " in line for line in lines) == sum("waste (likely): " in line for line in lines) == 1
    assert any("1 check, 2 with assumptions, 1 not made, 0 do not apply" in line for line in lines)
    end = lines[lines.index(NEXT.lower()) + 1 :]
    asked = [line for line in end if re.match(r"\d\. ", line)]
    assert len(asked) == 2 and "mixing valve" in asked[0], "those that decide a finding"
    assert "decides 1 finding, worst danger" in end[1]


def test_no_more_than_three_questions_end_a_check() -> None:
    whole = thin().results[0]
    names = ("hot_water.mixing_valve", "site.coldest", "site.occupants", "gas.fuel", "building.design_load")
    findings = tuple(replace(whole.findings[0], asks=(name,)) for name in names)
    lines = render("text", report_of(replace(whole, findings=findings)), Look()).splitlines()
    end = lines[lines.index(NEXT.lower()) + 1 :]
    assert [line[:2] for line in end if line[:1].isdigit()][:3] == ["1.", "2.", "3."]
    assert "and 2 questions more: settingslint questions" in end


def test_markdown() -> None:
    text = text_of("markdown")
    assert "1 check made, 2 with assumptions, **1 not made**, 0 do not apply" in text
    assert "- **danger** (ask) " in text and "- **waste** (likely) " in text
    assert text.partition(f"### {NEXT}")[2].lstrip().startswith("- Is there a mixing valve")


def suite_of(text: str) -> ElementTree.Element:
    return next(ElementTree.fromstring(text.encode()).iter("testsuite"))


def test_junit_skips_what_was_checked_with_assumptions_only() -> None:
    suite = suite_of(text_of("junit"))
    cases = {case.get("name"): [(child.tag, child.get("message")) for child in case] for case in suite.iter("testcase")}
    assert {name: [tag for tag, _ in children] for name, children in cases.items()} == {
        "store-too-warm": ["skipped"], "plate-kept-warm": ["failure"], "ask-about-the-loop": ["skipped"],
        "gas-known": ["skipped"],
    }  # fmt: skip
    assert str(cases["ask-about-the-loop"][0][1]).startswith("checked with assumptions")
    assert str(cases["store-too-warm"][0][1]).startswith("danger (ask): "), "a question, and no failure"
    assert cases["plate-kept-warm"][0][1] == thin().results[0].findings[1].headline
    (failure,) = suite.iter("failure")
    assert ": waste (likely): " in str(failure.text) and "assumes that somebody is at home" in str(failure.text)
    assert (suite.get("tests"), suite.get("failures"), suite.get("skipped")) == ("4", "1", "3")
    numbers = {one.get("name"): one.get("value") for one in suite.iter("property")}
    assert numbers == {"checked": "1", "assumed": "2", "not_checked": "1", "not_applicable": "0"}


def test_junit_with_four_numbers_is_valid() -> None:
    xmlschema.XMLSchema(str(outside(JUNIT))).validate(text_of("junit"))


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_csv() -> None:
    rows = rows_of(text_of("csv"))
    assert {row["rule"]: row["certainty"] for row in rows if row["rule"]} == {
        "store-too-warm": "ask", "plate-kept-warm": "likely",
    }  # fmt: skip
    assert [row["headline"] for row in rows if row["severity"] == "coverage"] == [WORDS]


def test_csv_names_what_was_not_checked_where_that_is_asked_for() -> None:
    few, every = (rows_of(render("csv", thin(), Look(every=one))) for one in (False, True))
    more = {(row["severity"], row["rule"], row["headline"]) for row in every if row not in few}
    assert more == {
        ("checked with assumptions", "ask-about-the-loop", ""),
        ("not checked", "gas-known", "needs gas.fuel"),
    }
    assert len(every) == len(few) + 2


def test_csv_has_a_fix_and_no_column_that_is_never_filled() -> None:
    changed = {"tank_setpoint": date(2026, 10, 2)}
    results = [replace(one, summary=replace(one.summary, changed=changed)) for one in ordinary().results]
    rows = rows_of(render("csv", report_of(*results), Look()))
    assert list(rows[0]) == [
        "headline", "fix", "severity", "certainty", "site", "plant", "setting", "rule", "since", "accepted until",
    ]  # fmt: skip
    assert all(any(row[name] for row in rows) for name in rows[0])
    (store,) = [row for row in rows if row["rule"] == "store-too-warm" and row["plant"] == "Boiler 1"]
    assert store["headline"] == "the store runs at 145 F" and store["since"] == "2026-10-02"
    assert store["fix"] == "lower the store"


def test_sarif() -> None:
    (run,) = json.loads(text_of("sarif"))["runs"]
    first = run["results"][0]
    assert first["message"]["text"] == thin().results[0].findings[0].headline
    assert (first["kind"], first["level"]) == ("open", "none"), "SARIF 2.1.0, 3.27.9 and 3.27.10"
    assert "kind" not in run["results"][1] and run["results"][1]["level"] == "warning"
    assert run["results"][1]["properties"]["assumption"] == "assumes that somebody is at home"
    assert (first["properties"]["certainty"], first["properties"]["asks"]) == ("ask", [MIXING])
    assert run["results"][1]["properties"]["assumed"] == ["site.coldest"]
    notes: list[Any] = run["invocations"][0]["toolExecutionNotifications"]
    (coverage,) = [one for one in notes if one["descriptor"]["id"] == "coverage"]
    assert coverage["message"]["text"] == f"Boiler 1: {WORDS}"
    assert coverage["properties"]["assumed_rules"] == ["store-too-warm", "ask-about-the-loop"]


@pytest.mark.parametrize("form", ["text", "markdown", "junit", "sarif"])
def test_what_is_proven_has_no_word_before_it(form: str) -> None:
    assert "(ask) the store" not in render(form, ordinary(), Look()) and "(proven)" not in render(
        form, ordinary(), Look()
    )

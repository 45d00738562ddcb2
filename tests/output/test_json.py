"""`--form json` against schemas/findings.schema.json, by two validators; and the schema against what is written."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import jsonschema_rs
import pytest

from settingslint.checking.audit import audit
from settingslint.checking.report import Report, key_of
from settingslint.files.usual import usual_of
from settingslint.model.source import parse
from settingslint.output import Look, render
from settingslint.rules import all_rules
from tests.output.reports import HOSTILE, hostile, one_cause, ordinary, report_of
from tests.rules.kit import make_plant

SCHEMA: dict[str, Any] = json.loads(
    (Path(__file__).parents[2] / "schemas" / "findings.schema.json").read_text(encoding="utf-8")
)


def data_of(report: Report) -> Any:
    text = render("json", report, Look())
    text.encode("utf-8")  # no half characters
    data = json.loads(text)
    jsonschema.validate(data, SCHEMA, jsonschema.Draft202012Validator, format_checker=jsonschema.FormatChecker())
    assert jsonschema_rs.Draft202012Validator(SCHEMA, validate_formats=True).is_valid(data)
    return data


def test_a_report_with_every_kind_of_thing() -> None:
    data = data_of(ordinary())
    first, second, third = data["plants"]
    assert [one["rule"] for one in first["findings"]] == ["store-too-warm", "plate-kept-warm", "ask-about-the-loop"]
    assert first["not_checked"] == [{"rule": "gas-known", "needs": ["gas.fuel"], "why": ""}]
    store = first["findings"][0]
    assert (store["typed"], store["effective"], store["unit"], store["numbers"]["store"]) == (
        145, 145, "F", {"value": 145, "unit": "F"},
    )  # fmt: skip
    assert store["remedy"]["verified"] is True and store["accepted"] is None
    assert second["findings"][0]["accepted"]["until"] == "2027-03-31"
    assert {one["rule"] for one in third["not_checked"]} == {"gas-known", "store-too-warm"}
    assert data["totals"]["findings"] == {"danger": 1, "damage": 0, "outage": 0, "waste": 1, "record": 3}
    assert data["totals"]["accepted"] == 1 and data["totals"]["problems"] == 1
    fuel = data["totals"]["questions"][0]
    assert (fuel["name"], fuel["checks"], fuel["findings"], fuel["worst"]) == ("gas.fuel", 2, 0, None)
    assert [one["site"] for one in fuel["plants"]] == ["Mill Lane Hall", "Quay House"]
    assert [one["name"] for one in first["questions"]] == ["gas.fuel"] and second["questions"] == []


def test_each_rule_of_a_plant_is_answered_once() -> None:
    for plant in data_of(ordinary())["plants"]:
        answered = [*plant["checked"], *(one["rule"] for one in plant["not_checked"]), *plant["not_applicable"]]
        assert sorted(answered) == sorted(set(answered)) and len(answered) == 4


def test_all_real_rules_fit_the_schema() -> None:
    rules = all_rules()
    plants = [
        make_plant({"settings.keep_warm": 3, "settings.high_limit": 192, "settings.tank_setpoint": 118}),
        make_plant(drop=["building", "boiler", "hot_water", "emitter", "visit"]),
        make_plant({"plant.first_fired": False}, metric=True),
    ]
    data = data_of(report_of(*(audit(plant, rules) for plant in plants), rules=rules))
    assert sum(len(plant["findings"]) for plant in data["plants"]) > 1


def test_what_an_earlier_revision_had_is_marked_and_counted_apart() -> None:
    plain = ordinary()
    result = plain.results[0]
    known = frozenset({key_of(result, result.findings[0])})
    data = data_of(Report(plain.portfolio, plain.results, (), plain.rules, known, "HEAD~1"))
    assert [one["new"] for one in data["plants"][0]["findings"]] == [False, True, True]
    assert data["compared_with"] == "HEAD~1" and data["totals"]["known"] == 1
    assert data["totals"]["findings"]["danger"] == 0


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text(text: str) -> None:
    data = data_of(hostile(text))
    spelled = re.sub("[\ud800-\udfff]", lambda half: rf"\u{ord(half[0]):04x}", text)
    assert data["plants"][0]["plant"] == spelled


def test_headline_fix_question_and_assumption_are_fields_and_one_cause_is_told_by_one_finding() -> None:
    (plant,) = data_of(one_cause())["plants"]
    likely, speaks, asked, waste = plant["findings"]
    assert (speaks["headline"], speaks["fix"]) == ("the store runs at 145 F", "lower the store")
    assert (
        speaks["assumption"] == "assumes one tank; owner's number 50 C" and speaks["question"] == speaks["case"] == ""
    )
    assert speaks["related"] == [{"rule": "cool-tank-without-hygiene-measure", "setting": "hygiene_cycle"}]
    assert likely["related"] == asked["related"] == waste["related"] == []
    assert (asked["headline"], asked["question"]) == ("Is there a mixing valve?", "Is there a mixing valve?")
    assert (asked["case"], asked["says"]) == ("if not", "the store runs at 145 F")
    assert waste["fix"] == "" and waste["remedy"] is None


def test_what_is_old_does_not_speak_for_what_is_new() -> None:
    plain = one_cause()
    known = frozenset({key_of(plain.results[0], plain.results[0].findings[1])})
    data = data_of(Report(plain.portfolio, plain.results, (), plain.rules, known, "HEAD~1"))
    assert all(one["related"] == [] for one in data["plants"][0]["findings"])


def test_the_owners_usual_value_fits_the_schema() -> None:
    plain = ordinary()
    text = 'format = 1\nunits = "us"\n[usual]\n"building.balance_point" = { low = 58, usual = 62, high = 66 }\n'
    usual, _ = usual_of(parse(text.encode(), "portfolio.toml"))
    owner = replace(plain.portfolio.owner, usual=usual)
    data = data_of(replace(plain, portfolio=replace(plain.portfolio, owner=owner)))
    assert data["owner"][0]["what"] == "assumed where nobody recorded it"


def nodes(node: Any, path: str = "") -> list[tuple[str, dict[str, Any]]]:
    if not isinstance(node, dict):
        return []
    named = {key: one for key in ("properties", "$defs") for key, one in node.get(key, {}).items()}
    inner = [node.get("items"), node.get("additionalProperties"), *node.get("anyOf", [])]
    return [
        *((f"{path}/{key}", one) for key, one in named.items()),
        *(pair for key, one in named.items() for pair in nodes(one, f"{path}/{key}")),
        *(pair for one in inner for pair in nodes(one, path)),
    ]


def test_everything_in_the_schema_is_described() -> None:
    found = nodes(SCHEMA)
    assert len(found) > 60
    bare = [path for path, node in found if "$ref" not in node and not {"title", "description"} <= set(node)]
    assert bare == []


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: data["plants"][0]["findings"][0].pop("cautions"),
        lambda data: data["plants"][0]["findings"][0].update(severity="minor"),
        lambda data: data["plants"][0]["findings"][0].update(line=0),
        lambda data: data["plants"][0].update(more=1),
        lambda data: data.pop("frame"),
        lambda data: data["totals"]["findings"].pop("danger"),
        lambda data: data.update(as_of="2026-02-30"),
    ],
)
def test_the_schema_notices(spoil: Any) -> None:
    data = json.loads(render("json", ordinary(), Look()))
    spoil(data)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, SCHEMA, jsonschema.Draft202012Validator, format_checker=jsonschema.FormatChecker())

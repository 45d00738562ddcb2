"""What a change weakens is said first in every form, with what it silences; what it strengthens is not named."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final
from xml.etree import ElementTree

import jsonschema
import pytest

from settingslint.api import Estate
from settingslint.checking.weakening import TITLE, Weakening
from settingslint.history.looser import looser_row
from settingslint.output import FORMS, Look, render
from settingslint.output.notes import render_notes
from settingslint.rules import all_rules
from settingslint.rules.base import Severity, Threshold
from settingslint.rules.examples import passing, tripping
from settingslint.rules.plant import Context
from settingslint.rules.record.acceptance import LONGEST
from tests.history.kit import Work, started
from tests.rules.kit import AS_OF, make_control, make_plant, profile_data, put, rule_named
from tests.strategies import text_of

ROOT: Final = Path(__file__).parents[2]
SCHEMA: Final = json.loads((ROOT / "schemas" / "findings.schema.json").read_text(encoding="utf-8"))
HEAD: Final = 'format = 1\nname = "Kit"\nunits = "us"\n'
SECOND: Final = {
    "plant.name": "Boiler 2", "plant.serial": "K-2", "hot_water.outlet_measured": 121, "settings.keep_warm": 3,
}  # fmt: skip
"""Hot at the tap, a danger, and a plate kept warm beside a tank, which is waste."""
TAP, WARM = "tap-too-hot", "keep-warm-with-tank"
AT: Final = "hot_water.outlet_measured"
BOILER: Final = "sites/mill/boiler-2.toml"
IGNORED: Final = {"does": "ignore", "low": 130, "high": 150, "becomes": 112}
"""The tank's 145 F becomes 112 F: too cool to keep legionella down."""


def accepting(until: str | None = "2027-03-31", rule: str = TAP, **more: str) -> dict[str, Any]:
    """Return an acceptance as changes of the kit's profile."""
    at = {"setting": AT} if rule == TAP else {}  # the acceptance of a danger names where
    one = {"rule": rule, "because": "asked for", "by": "M. Okoro", **({"until": until} if until else {}), **at, **more}
    return {"accepted": [one]}


@pytest.fixture
def work(tmp_path: Path) -> Work:
    work = started(tmp_path / "p")
    work.write("portfolio.toml", HEAD)
    work.profile(BOILER, SECOND)
    work.commit("a second boiler")
    return work


def weakened(work: Work, revision: str = "HEAD", paths: Sequence[str] = ()) -> list[Weakening]:
    """Return what is weaker than at a revision."""
    asked = [work.folder / path for path in paths] or None
    return list(Estate(work.folder, AS_OF).check(asked, new_since=revision).weakened)


def only(work: Work, revision: str = "HEAD") -> Weakening:
    """Return the one thing that is weaker."""
    [one] = weakened(work, revision)
    return one


def counts(one: Weakening) -> dict[str, int]:
    """Return what it silences."""
    return {severity.value: count for severity, count in one.silences}


def owner(text: str) -> Callable[[Work], object]:
    """Return what writes the owner's file."""
    return lambda work: work.write("portfolio.toml", HEAD + text)


def second(*changes: Mapping[str, Any]) -> Callable[[Work], object]:
    """Return what writes the second boiler with changes."""
    more = {key: value for one in changes for key, value in one.items()}
    return lambda work: work.profile(BOILER, {**SECOND, **more})


def control(**rows: Mapping[str, Any]) -> Callable[[Work], object]:
    """Return what writes the kit's control with rows changed."""
    changes = {f"setting.{name}.{key}": value for name, row in rows.items() for key, value in row.items()}
    return lambda work: work.control(changes)


def both(*ways: Callable[[Work], object]) -> Callable[[Work], object]:
    """Return what does several things."""
    return lambda work: [way(work) for way in ways]


def nothing(work: Work) -> None:
    """Leave it as it is."""


NARROW: Final = {"range": {"low": 150, "high": 206, "outside": "refused"}}
WEAKER: Final[dict[str, tuple[Callable[[Work], object], Callable[[Work], object], str, str, dict[str, int]]]] = {
    "a number relaxed": (
        nothing, owner("[thresholds]\ntap_maximum = 122\n"), "owner's number",
        "tap_maximum 120 F -> 122 F", {"danger": 1},
    ),
    "a strict number taken away": (
        owner("[thresholds]\ntank_minimum = 150\n"), owner(""), "owner's number",
        "tank_minimum 150 F -> 140 F", {"danger": 2},
    ),
    "a number relaxed that silences nothing now": (
        nothing, owner("[thresholds]\nvalve_test_days = 400\n"), "owner's number",
        "valve_test_days 366 -> 400", {},
    ),
    "a severity lowered": (
        nothing, owner(f'[severities]\n{TAP} = "record"\n'), "severity",
        f"severity of {TAP}: danger -> record", {"danger": 1},
    ),
    "a raised severity taken away": (
        owner(f'[severities]\n{WARM} = "danger"\n'), owner(""), "severity",
        f"severity of {WARM}: danger -> waste", {"danger": 1},
    ),
    "an acceptance": (
        nothing, second(accepting()), "acceptance",
        f"acceptance of {TAP} ({AT}) new, until 2027-03-31", {"danger": 1},
    ),
    "an acceptance of nothing that is found": (
        nothing, second(accepting(rule="freeze-protection-off")), "acceptance",
        "acceptance of freeze-protection-off new, until 2027-03-31", {},
    ),
    "a longer acceptance": (
        second(accepting("2027-01-31")), second(accepting("2027-03-31")), "acceptance",
        f"acceptance of {TAP} ({AT}) longer: until 2027-03-31, before until 2027-01-31", {"danger": 1},
    ),
    "an acceptance that had ended": (
        second(accepting("2026-01-31")), second(accepting("2027-01-31")), "acceptance",
        f"acceptance of {TAP} ({AT}) longer: until 2027-01-31, before until 2026-01-31", {"danger": 1},
    ),
    "an acceptance without an end": (
        second(accepting("2027-01-31", WARM)), second(accepting(None, WARM)), "acceptance",
        f"acceptance of {WARM} longer: without an end, before until 2027-01-31", {"waste": 1},
    ),
    "an acceptance of one setting becomes one of all": (
        second(accepting(rule=WARM, setting="keep_warm")), second(accepting(rule=WARM)), "acceptance",
        f"acceptance of {WARM} new, until 2027-03-31", {"waste": 1},
    ),
    "an acceptance of a danger gets its name": (
        second(accepting(by="?")), second(accepting()), "acceptance",
        f"acceptance of {TAP} ({AT}) holds for a danger now, until 2027-03-31", {"danger": 1},
    ),
    "an ignored band taken away": (
        control(tank_setpoint={"treatments": [IGNORED]}), control(), "control file",
        "tank_setpoint: ignore from 130 F to 150 F: taken away, or narrower", {"danger": 2},
    ),
    "an ignored band made narrower": (
        control(tank_setpoint={"treatments": [IGNORED]}),
        control(tank_setpoint={"treatments": [{**IGNORED, "high": 140}]}), "control file",
        "tank_setpoint: ignore from 130 F to 150 F: taken away, or narrower", {"danger": 2},
    ),
    "a cap taken away": (
        control(heating_setpoint={"treatments": [{"does": "cap", "by": "maximum_supply"}]}), control(), "control file",
        "heating_setpoint: cap by maximum_supply: taken away, or narrower", {},
    ),
    "a need taken away": (
        control(reset={"needs": [{"accessory": "outdoor_sensor", "otherwise": "off"}]}), control(), "control file",
        "reset: needs outdoor_sensor: taken away", {},
    ),
    "a wider range": (
        control(high_limit=NARROW), control(high_limit={"range": {**NARROW["range"], "high": 214}}), "control file",
        "high_limit: range up to 214 F, before 206 F", {},
    ),
    "another access": (
        control(high_limit={"access": "factory"}), control(high_limit={"access": "installer"}), "control file",
        "high_limit: access installer, before factory", {},
    ),
    "another control file": (
        both(control(tank_setpoint={"treatments": [IGNORED]}), lambda work: work.control(name="lax")),
        second({"plant.control": "lax"}), "other control file", "control kit -> lax", {"danger": 1},
    ),
    "a plant gone": (
        nothing, lambda work: (work.folder / BOILER).unlink(), "plant gone",
        "Boiler 2 of Mill Lane Hall is gone since HEAD; nothing of it is checked any more",
        {"danger": 2, "waste": 1},
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", WEAKER)
def test_what_is_weaker_is_named_with_what_it_silences(work: Work, case: str) -> None:
    before, after, what, text, silences = WEAKER[case]
    before(work)
    work.commit("before")
    after(work)
    one = only(work)
    assert (one.what, one.text) == (what, text)
    assert {name: count for name, count in counts(one).items() if name in silences or name == "danger"} == silences
    assert one.file.endswith(".toml")
    work.commit("after")
    assert weakened(work) == []
    assert only(work, "HEAD~1").text == text.replace("since HEAD;", "since HEAD~1;")


@pytest.mark.parametrize("case", [case for case in WEAKER if case != "another control file"])
def test_the_reverse_is_no_weakening(work: Work, case: str) -> None:
    before, after, *_ = WEAKER[case]
    before(work)
    work.commit("before")
    after(work)
    work.commit("after")
    work.git("checkout", "-q", "HEAD~1", "--", ".")
    assert weakened(work) == []


def test_values_that_change_weaken_nothing(work: Work) -> None:
    """What somebody sets at the boiler raises and clears findings; it takes no check away."""
    second({"hot_water.outlet_measured": 112, "settings.keep_warm": "off"})(work)
    assert weakened(work) == []
    work.commit("mended")
    work.profile(BOILER, SECOND)
    assert weakened(work) == []


def test_a_mask_does_not_hide_another(work: Work) -> None:
    """A number and an acceptance that each silence one danger are both told with it."""
    owner("[thresholds]\ntap_maximum = 122\n")(work)
    second(accepting())(work)
    assert {(one.what, counts(one)["danger"]) for one in weakened(work)} == {("owner's number", 1), ("acceptance", 1)}


def test_what_only_two_things_together_silence_is_told(work: Work) -> None:
    """An acceptance that ends too late to hold, and a longer time that the owner allows: neither alone is enough."""
    owner("[acceptance]\nlongest_days = 731\n")(work)
    second(accepting("2028-03-31"))(work)
    assert {one.what: counts(one) for one in weakened(work)} == {
        "together": {"danger": 1}, "owner's number": {}, "acceptance": {},
    }  # fmt: skip


def test_only_what_was_asked_for_is_told(work: Work) -> None:
    second({"plant.site": "Quay", **accepting()})(work)
    (work.folder / BOILER).rename(work.write("sites/quay/boiler-2.toml", ""))
    work.commit("another site")
    owner("[thresholds]\ntap_maximum = 122\n")(work)
    work.profile("sites/quay/boiler-2.toml", {**SECOND, "plant.site": "Quay", **accepting("2027-06-30")})
    assert [(one.what, counts(one)) for one in weakened(work, paths=["sites/mill"])] == [("owner's number", {})]
    assert {one.what for one in weakened(work, paths=["sites/quay"])} == {"owner's number", "acceptance"}


def test_a_moved_plant_keeps_its_acceptance(work: Work) -> None:
    second(accepting())(work)
    work.commit("accepted")
    work.git("mv", BOILER, "sites/mill/cellar.toml")
    assert weakened(work) == []


def test_a_plant_that_is_new_brings_its_acceptance(work: Work) -> None:
    work.profile("sites/mill/three.toml", {**SECOND, "plant.name": "Three", "plant.serial": "K-3", **accepting()})
    assert only(work).plant == "Three"


# forms ----------------------------------------------------------------------------------------------------------------


def test_it_stands_first_in_every_form(work: Work) -> None:
    owner("[thresholds]\ntap_maximum = 122\n")(work)
    second(accepting(rule=WARM))(work)
    report = Estate(work.folder, AS_OF).check(new_since="HEAD")
    assert [one.what for one in report.weakened] == ["owner's number", "acceptance"]
    out = {form: render(form, report, Look()) for form in FORMS}
    said = [one.said for one in report.weakened]
    assert out["text"].splitlines()[:2] == [f"weakened: {one}" for one in said]
    data = json.loads(out["json"])
    jsonschema.validate(data, SCHEMA)
    assert [one["silences"]["danger"] for one in data["weakened"]] == [1, 0]
    notes = json.loads(out["sarif"])["runs"][0]["invocations"][0]["toolExecutionNotifications"]
    assert [one["message"]["text"] for one in notes[:2]] == said
    assert {one["descriptor"]["id"] for one in notes[:2]} == {"weakened"}
    first = ElementTree.fromstring(out["junit"])[0]
    assert (first.get("name"), [case.get("name") for case in first]) == (TITLE, said)
    assert out["markdown"].index(TITLE) < out["markdown"].index("###", out["markdown"].index(TITLE))
    assert out["markdown"].split("### ")[1].startswith(TITLE)
    rows = list(csv.DictReader(io.StringIO(out["csv"])))
    assert [(row["severity"], row["headline"]) for row in rows[:2]] == [("weakened", one) for one in said]
    assert rows[0]["setting"] == "tap_maximum"
    assert (rows[1]["rule"], rows[1]["site"], rows[1]["plant"]) == (WARM, "Mill Lane Hall", "Boiler 2")


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
@pytest.mark.parametrize("how", ["committed", "worktree"])
def test_notes_say_it_first(work: Work, form: str, how: str) -> None:
    owner("[thresholds]\ntap_maximum = 122\n")(work)
    second(accepting(rule=WARM))(work)
    if how == "committed":
        work.commit("weaker")
    notes = Estate(work.folder).notes(worktree=how == "worktree")
    assert {one.what: counts(one) for one in notes.weakened}["owner's number"] == {"danger": 1}
    out = render_notes(form, notes, Look(10_000))
    place = out.replace("\\", "").replace("&gt;", ">").index("tap_maximum 120 F -> 122 F")
    assert place < out.replace("\\", "").index("Boiler 2", out.find("</title>") + 1)
    assert f"acceptance of {WARM} new" in out


def test_notes_of_a_plant_that_is_gone(work: Work) -> None:
    (work.folder / BOILER).unlink()
    work.commit("gone")
    [one] = Estate(work.folder).notes().weakened
    assert one.what == "plant gone" and counts(one)["danger"] >= 1


def run(work: Work, *words: str) -> tuple[int, str, str]:
    """Return exit status, output and errors of a check."""
    done = subprocess.run(
        [sys.executable, "-m", "settingslint", "check", ".", *words, "--as-of", "2026-11-25"], cwd=work.folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def test_it_stops_where_that_is_asked_for(work: Work) -> None:
    since = ("--new-since", "HEAD", "--stop-at", "nothing")
    assert run(work, *since, "--weakening", "stop")[0] == 0
    owner("[thresholds]\nvalve_test_days = 400\n")(work)
    code, out, _ = run(work, *since)
    assert (code, out.splitlines()[0]) == (
        0, "weakened: portfolio.toml: valve_test_days 366 -> 400: silences nothing that is found now",
    )  # fmt: skip
    assert "1 thing weakened since then: named first, above." in out
    assert run(work, *since, "--weakening", "stop")[0] == 1
    owner("[thresholds]\nvalve_test_days = 300\n")(work)
    assert run(work, *since, "--weakening", "stop")[0] == 0
    work.write(BOILER, "format =")
    assert run(work, *since, "--weakening", "stop")[0] == 2


def test_a_wrong_word_or_nothing_to_compare_with_is_refused(work: Work) -> None:
    code, _, err = run(work, "--new-since", "HEAD", "--weakening", "never")
    assert code == 2 and "there are show and stop" in err
    code, _, err = run(work, "--weakening", "stop")
    assert code == 2 and "needs --new-since" in err


# what is looser -------------------------------------------------------------------------------------------------------

NUMBERS: Final[dict[str, Threshold]] = {one.name: one for rule in all_rules() for one in rule.thresholds}
DEPENDS: Final = {"priority_limit_usual", "typical_call", "elevation_counts_from"}


def test_every_number_says_which_way_it_is_looser() -> None:
    assert {name for name, one in NUMBERS.items() if one.looser not in ("up", "down")} == DEPENDS
    assert LONGEST.looser == "up"


@pytest.mark.parametrize("name", sorted(NUMBERS.keys() - DEPENDS))
def test_the_looser_end_of_a_number_finds_no_more_than_the_stricter(name: str) -> None:
    number = NUMBERS[name]
    loose, strict = (number.high, number.low) if number.looser == "up" else (number.low, number.high)
    for rule in all_rules():
        if number not in rule.thresholds or rule.scope != "plant" or rule.history:
            continue
        for example in (tripping(rule), passing(rule)):
            told = [_found(rule.name, example, name, value) for value in (loose, number.value, strict)]
            assert told[0] <= told[1] <= told[2], (rule.name, told)


def _found(rule: str, example: Mapping[str, Any], name: str, value: float) -> set[str]:
    changes = {key: value for key, value in example.items() if not key.startswith("control.")}
    rows = {key.removeprefix("control."): value for key, value in example.items() if key.startswith("control.")}
    plant = make_plant(changes, control=rows, context=Context(AS_OF, {name: value}))
    return {one.at for one in audit_of(plant, rule)}


def audit_of(plant: Any, rule: str) -> Sequence[Any]:
    """Return what one rule finds."""
    from settingslint.checking.audit import audit

    return audit(plant, [rule_named(rule)]).findings


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ({"range": {"low": 100}}, {}, "range from no bound, before 100 F"),
        ({"range": {"low": 100}}, {"range": {"low": 90}}, "range from 90 F, before 100 F"),
        ({"range": {"high": 200, "outside": "refused"}}, {"range": {"high": 200, "outside": "moved to the end"}},
         "a value outside its range is moved to the end, before refused"),
        ({"access": "service"}, {"access": "user"}, "access user, before service"),
        ({}, {"range": {"low": 90}}, ""),
        ({}, {"treatments": [{"does": "ignore", "low": 100, "high": 110, "becomes": 90}]}, ""),
        ({"treatments": [{"does": "ignore", "low": 100, "high": 110, "becomes": 90}]},
         {"treatments": [{"does": "ignore", "low": 98, "high": 112, "becomes": 90}]}, ""),
        ({"label": "one"}, {"label": "another"}, ""),
    ],
)  # fmt: skip
def test_a_row_says_what_it_lets_pass(old: Mapping[str, Any], new: Mapping[str, Any], words: str) -> None:
    name = "heating_setpoint"
    before, after = (make_control({f"setting.{name}.{key}": value for key, value in row.items()}) for row in (old, new))
    assert looser_row(before.rows[name], after.rows[name], before, after) == ([words] if words else [])


def test_treatments_that_are_not_stated_any_more_and_rows_that_are_gone() -> None:
    known = make_control()
    unknown = make_control(drop=["setting.heating_setpoint.treatments"])
    row = known.rows["heating_setpoint"]
    less = looser_row(row, unknown.rows["heating_setpoint"], known, unknown)
    assert less == ["its treatments are not stated any more"]
    assert looser_row(row, None, known, known) == ["is not described any more"]
    assert looser_row(None, row, known, known) == []


def test_severities_are_counted_worst_first() -> None:
    one = Weakening("owner's number", "x", "1", "2", "x 1 -> 2", ((Severity.DANGER, 2), (Severity.WASTE, 1)), "a.toml")
    assert one.said == "a.toml: x 1 -> 2: silences 2 danger, 1 waste"


# what the owner says is usual -----------------------------------------------------------------------------------------

MILD: Final = '[usual]\n"building.balance_point" = { low = 72, usual = 73, high = 74 }\n'
SENSOR: Final = '[usual]\n"accessories.outdoor_sensor" = true\n'


@pytest.fixture
def thin(work: Work) -> Work:
    """Return a portfolio with a plant of which three facts are not recorded."""
    data = profile_data()
    put(data, {"plant.name": "Boiler 3", "plant.serial": "K-3", "settings.warm_weather_shutdown": 75})
    del data["building"]["balance_point"], data["hot_water"]["circulation_loop"], data["accessories"]["outdoor_sensor"]
    work.write("sites/mill/boiler-3.toml", text_of(data))
    work.commit("a third boiler")
    return work


@pytest.mark.parametrize(
    ("said", "text", "silences", "rule"),
    [
        (MILD, "usual: nothing of building.balance_point -> building.balance_point 72 F to 74 F, usually 73 F",
         {"waste": 1}, "warm-weather-shutdown-far-above-balance-point"),
        (SENSOR, "usual: nothing of accessories.outdoor_sensor -> accessories.outdoor_sensor on",
         {"damage": 1, "outage": 1}, "reset-without-outdoor-sensor"),
    ],
)  # fmt: skip
def test_a_usual_value_that_silences_a_likely_finding_or_a_question(
    thin: Work, said: str, text: str, silences: dict[str, int], rule: str
) -> None:
    def found() -> set[str]:
        [result] = [one for one in Estate(thin.folder, AS_OF).check().results if one.path.endswith("boiler-3.toml")]
        return {one.rule for one in result.findings}

    before = found()
    thin.write("portfolio.toml", HEAD + said)
    one = only(thin)
    assert (one.what, one.text, counts(one)) == ("owner's usual value", text, silences)
    assert (Path(one.file).name, one.line) == ("portfolio.toml", 5)
    assert rule in before and rule not in found(), "it is not the finding that is told"
    thin.commit("as usual")
    thin.write("portfolio.toml", HEAD)
    assert weakened(thin) == [], "to say no more what is usual asks again"


def test_a_usual_value_that_silences_nothing_is_no_weakening(thin: Work) -> None:
    thin.write("portfolio.toml", HEAD + '[usual]\n"piping.bypass" = true\n')
    assert weakened(thin) == []


def test_a_usual_value_takes_no_danger_away(thin: Work) -> None:
    thin.write("portfolio.toml", HEAD + '[usual]\n"hot_water.circulation_loop" = false\n')
    assert weakened(thin) == []


def test_a_usual_value_of_a_site_names_it(thin: Work) -> None:
    site = profile_data()["plant"]["site"]
    thin.write("portfolio.toml", HEAD + f'[usual.sites."{site}"]\n"accessories.outdoor_sensor" = true\n')
    assert f"at {site}" in only(thin).text

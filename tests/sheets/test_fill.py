"""A table of questions is filled in and read back: answers go in, what is recorded stays, comments and layout too."""

from __future__ import annotations

import csv
import io
import tomllib
from pathlib import Path

import pytest
import tomlkit
from typer.testing import CliRunner, Result

from settingslint.api import Estate
from settingslint.cli import app
from settingslint.sheets.give import IDENTITY, question_columns
from settingslint.sheets.match import match
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS
from tests.report.conftest import write_portfolio
from tests.rules.kit import AS_OF

COMMENT = "# kept by the owner"


def run(*words: str) -> Result:
    return CliRunner().invoke(app(("import", "export", "questions")), list(words))


@pytest.fixture
def root(tmp_path: Path) -> Path:
    made = write_portfolio(tmp_path / "p")
    bare = made / "sites" / "bare" / "plant.toml"
    bare.write_text(bare.read_text(encoding="utf-8") + f"\n{COMMENT}\n", encoding="utf-8")
    return made


def table(root: Path) -> tuple[list[str], list[dict[str, str]]]:
    done = run("export", str(root), "--questions")
    assert done.exit_code == 0, done.output
    reader = csv.DictReader(io.StringIO(done.stdout, newline=""))
    rows = list(reader)
    return list(reader.fieldnames or ()), rows


def fill(root: Path, rows: list[dict[str, str]], *words: str) -> Result:
    file = root.parent / "answers.csv"
    with file.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return run("import", str(file), "--into", str(root), "--units", "us", *words)


def test_the_table_has_a_column_for_each_question_most_important_first(root: Path) -> None:
    header, rows = table(root)
    asked = Estate(root, AS_OF).questions()
    names = [match(one).target for one in header]
    assert names[:3] == [f"plant.{one}" for one in IDENTITY]
    wanted = ["emitter.kind" if one.name == "emitter" else one.name for one in asked.asked]
    assert [one for one in names[3:] if one in wanted] == [one for one in wanted if one in names]
    assert set(wanted) & {*FACTS, *SETTINGS} <= set(names)
    assert {(row["plant.site"], row["plant.name"]) for row in rows} == {(one.site, one.plant) for one in asked.plants}
    bare = next(row for row in rows if row["plant.name"] == "Boiler 5")
    assert bare["hot_water.mixing_valve"] == "", "nobody knows it"


def test_a_question_about_an_emitter_has_the_column_of_its_kind_too() -> None:
    assert question_columns(["emitter.load"], "us")[3:5] == ["emitter.kind", "emitter.load [Btu/h]"]


def test_answers_go_in_and_what_is_recorded_stays(root: Path) -> None:
    _, rows = table(root)
    file = root / "sites" / "bare" / "plant.toml"
    before = tomllib.loads(file.read_text(encoding="utf-8"))
    bare = [row for row in rows if row["plant.name"] == "Boiler 5"]
    bare[0]["hot_water.mixing_valve"] = "no"
    bare[0]["emitter.kind"] = "finned tube"
    bare[0]["emitter.design_supply [F]"] = "180"
    bare[0]["tank_setpoint [F]"] = "99"  # recorded otherwise
    done = fill(root, bare, "--fill", "--from", "measured")
    assert done.exit_code == 0, done.output
    assert "1 filled in, 0 already there" in done.output
    text = file.read_text(encoding="utf-8")
    after = tomllib.loads(text)
    assert after.pop("hot_water") == {"mixing_valve": {"value": False, "from": "measured"}}
    assert after.pop("emitter") == [
        {"kind": {"value": "finned tube", "from": "measured"}, "design_supply": {"value": 180, "from": "measured"}}
    ]
    assert after == before and COMMENT in text
    again = fill(root, bare, "--fill", "--from", "measured")
    assert "0 filled in, 1 already there" in again.output and file.read_text(encoding="utf-8") == text
    questions = {one.name for one in Estate(file, AS_OF).questions([file]).asked}
    assert not questions & {"hot_water.mixing_valve", "emitter", "emitter.kind"}


def test_without_being_asked_to_nothing_is_filled_in(root: Path) -> None:
    _, rows = table(root)
    files = {path: path.read_bytes() for path in root.rglob("*.toml")}
    for row in rows:
        row["hot_water.circulation_loop"] = row["hot_water.circulation_loop"] or "no"
    fill(root, rows)
    assert {path: path.read_bytes() for path in files} == files


def test_more_about_an_emitter_goes_below_its_heading(root: Path) -> None:
    file = root / "sites" / "clean" / "plant.toml"
    data = tomlkit.parse(file.read_text(encoding="utf-8"))
    first = data["emitter"][0]
    kind = first["kind"]
    del first["design_supply"]
    file.write_text(tomlkit.dumps(data), encoding="utf-8")
    plant = data["plant"]
    row = {
        "plant.site": str(plant["site"]), "plant.name": str(plant["name"]), "plant.control": "kit",
        "emitter.kind": str(kind), "emitter.design_supply [C]": "70",
    }  # fmt: skip
    done = fill(root, [row], "--fill")
    assert "1 filled in" in done.output, done.output
    after = tomllib.loads(file.read_text(encoding="utf-8"))["emitter"][0]
    assert after["design_supply"] == {"value": 158, "from": "owner said"}, "in the units of the profile"
    assert after["kind"] == kind

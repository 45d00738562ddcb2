"""The portfolio as one table: columns that stay, cells that are no formulas, and the way back by import."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from settingslint.cli import app
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import Source, parse
from settingslint.model.validate import check_schema
from settingslint.sheets.give import columns, table_text
from settingslint.sheets.match import match
from settingslint.sheets.read import table_of
from settingslint.sheets.take import take
from settingslint.units import System
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS
from tests.rules.kit import profile_data, put, to_metric


def run(*args: str) -> Result:
    return CliRunner().invoke(app(("import", "export")), list(args))


def profile(changes: dict[str, object] | None = None, metric: bool = False) -> Profile:
    data = to_metric(profile_data()) if metric else profile_data()
    put(data, changes or {})
    data["building"]["design_load"] = {"value": data["building"]["design_load"], "from": "guessed"}
    source = Source("x.toml", "", data)
    check_schema(source, "profile")
    return profile_from(source)


def back(text: str, system: System) -> Profile:
    """Return the profile that import makes of a table's only row."""
    taken = take(table_of(text.encode(), "t.csv"), Path("nowhere"), system=system)
    assert taken.problems == []
    (written,) = taken.profiles.values()
    source = parse(written.encode(), "x.toml")
    check_schema(source, "profile")
    return profile_from(source)


def test_there_is_a_column_for_everything_and_import_knows_each() -> None:
    systems: tuple[System, ...] = ("us", "metric")
    for system in systems:
        header = columns(system)
        assert len(header) == len(set(header)) == 8 + len(FACTS) + len(SETTINGS)
        assert [match(one).target for one in header] == [one.partition(" [")[0] for one in header]
    assert columns("us")[:3] == ["plant.site", "plant.name", "plant.control"]


@pytest.mark.parametrize(("of", "table"), [("us", "us"), ("metric", "metric"), ("metric", "us"), ("us", "metric")])
def test_the_way_there_and_back_keeps_every_value(of: System, table: System) -> None:
    changes = {
        "settings.tank_setpoint": {"left": "default"}, "settings.keep_warm": {"left": "not applicable"},
        "plant.first_fired": False,
    }  # fmt: skip
    there = profile(changes, metric=of == "metric")
    again = back(table_text([there], table), table)
    assert (again.site, again.name, again.control, again.serial, again.size, again.revision, again.first_fired) == (
        there.site, there.name, there.control, there.serial, there.size, there.revision, there.first_fired)  # fmt: skip
    assert set(again.settings) == set(there.settings) and set(again.facts) == set(there.facts)
    near = 0.06 if of != table else 1e-3  # a file of other units holds tenths
    pairs = [(name, there.settings[name].typed, again.settings[name].typed) for name in there.settings]
    pairs += [(name, there.facts[name].value, again.facts[name].value) for name in there.facts]
    for name, old, new in pairs:
        if isinstance(old, float) and isinstance(new, float):
            assert abs(new - old) <= max(near, 0.002 * abs(old)), name
        else:
            assert new == old, name
    assert {name: one.left for name, one in again.settings.items()} == {
        name: one.left for name, one in there.settings.items()
    }
    assert again.facts["building.design_load"].source == "guessed"
    assert len(again.emitters) == 1 and again.emitters[0]["kind"].value == there.emitters[0]["kind"].value


@pytest.mark.parametrize("evil", ["=1+1", "+1", "-1 and", "@SUM(A1)", '=HYPERLINK("x")'])
def test_no_cell_is_a_formula_and_the_text_comes_back(evil: str) -> None:
    there = profile({"plant.name": "B", "plant.site": evil, "visit.why": evil})
    text = table_text([there], "us")
    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            assert not cell.startswith(("=", "+", "@")) and not (cell.startswith("-") and not _number(cell)), cell
    assert back(text, "us").site == evil


def _number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_the_example_portfolio_goes_out_and_comes_in(tmp_path: Path) -> None:
    folder = Path(__file__).parents[2] / "profiles"
    out = tmp_path / "all.csv"
    assert run("export", str(folder), "--to", str(out)).exit_code == 0
    rows = list(csv.reader(out.open(encoding="utf-8", newline="")))
    assert len(rows) == 1 + len(list(folder.glob("sites/**/*.toml")))
    first = run("import", str(out), "--into", str(tmp_path / "new"), "--units", "us")
    assert first.exit_code == 0, first.output
    assert f"{len(rows) - 1} profiles written" in first.output


def test_the_units_are_the_portfolios(tmp_path: Path) -> None:
    folder = tmp_path / "ours"
    (folder / "sites").mkdir(parents=True)
    (folder / "portfolio.toml").write_text('format = 1\nname = "Ours"\nunits = "metric"\n', encoding="utf-8")
    (folder / "sites" / "a.toml").write_text(
        'format = 1\nunits = "us"\n[plant]\nname = "A"\nsite = "B"\ncontrol = "c"\n'
        "[settings]\nheating_setpoint = 140\n",
        encoding="utf-8",
    )
    own, us = run("export", str(folder)), run("export", str(folder), "--units", "us")
    assert "heating_setpoint [C]" in own.stdout and ",60," in own.stdout
    assert "heating_setpoint [F]" in us.stdout and ",140," in us.stdout
    (tmp_path / "own.csv").write_text(own.stdout, encoding="utf-8")
    assert run("import", str(tmp_path / "own.csv"), "--into", str(tmp_path / "new")).exit_code == 0, "units are stated"


def test_unreadable_profiles_are_told_and_the_rest_is_written(tmp_path: Path) -> None:
    (tmp_path / "sites").mkdir()
    (tmp_path / "sites" / "bad.toml").write_text("format = 1\n", encoding="utf-8")
    (tmp_path / "sites" / "good.toml").write_text(
        'format = 1\nunits = "us"\n[plant]\nname = "A"\nsite = "B"\ncontrol = "c"\n'
        "[settings]\nheating_setpoint = 150\n",
        encoding="utf-8",
    )
    result = run("export", str(tmp_path))
    assert result.exit_code == 2 and "bad.toml" in result.stderr and "150" in result.stdout


def test_what_has_no_column_is_counted_by_kind(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(
        'format = 1\nunits = "us"\n[plant]\nname = "A"\nsite = "B"\ncontrol = "c"\n'
        '[building]\ndesign_load = { value = 60000, from = "calculated", on = 2026-10-01 }\n'
        '[[emitter]]\nkind = "heated floor"\n[[emitter]]\nkind = "finned tube"\n'
        '[settings]\nheating_setpoint = { value = 150, why = "cold wing", read_back = 148, by = "P. Larsen" }\n'
        'keep_warm = { value = 4, why = "long" }\n'
        '[[accepted]]\nrule = "x"\nbecause = "so"\nby = "P. Larsen"\n',
        encoding="utf-8",
    )
    result = run("export", str(tmp_path))
    left = [line for line in result.stderr.splitlines() if line.startswith("skipped: ")]
    assert left == [
        "skipped: why of a setting (2)",
        "skipped: by of a setting (1)",
        "skipped: read_back of a setting (1)",
        "skipped: the date of a fact (1)",
        "skipped: the source of a fact, unless a guessed number (1)",
        "skipped: an emitter after the first (1)",
        "skipped: an acceptance (1)",
    ], result.output

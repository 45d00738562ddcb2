"""`import` at the command line: what is asked, what is written, what is said, and that twice is as once."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from settingslint.cli import app
from settingslint.sheets.match import targets

SHEET = "Site;Boiler;Flow temp [°C];Cylinder temperature;Design load (kW);Colour\n"
GOOD = SHEET + "Östra;One;62,5;60;~41,5;red\nVästra;One;70;n/a;1.038;blue\n"


def run(folder: Path, content: str | bytes, *args: str) -> Result:
    folder.mkdir(exist_ok=True)
    file = folder / "sheet.csv"
    file.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return CliRunner().invoke(app(("import",)), ["import", str(file), "--into", str(folder / "into"), *args])


def everything(folder: Path) -> dict[str, bytes]:
    return {path.as_posix(): path.read_bytes() for path in sorted((folder / "into").rglob("*.toml"))}


METRIC = ("--units", "metric", "--control", "ours")


def test_what_was_taken_guessed_and_left_is_reported(tmp_path: Path) -> None:
    result = run(tmp_path, GOOD, *METRIC)
    assert result.exit_code == 0, result.output
    for line in (
        "matched: Flow temp [°C] as heating_setpoint",
        "matched: Cylinder temperature as tank_setpoint",
        "guessed: line 2, Design load (kW): ~41,5",
        "skipped: column 'Colour': not known",
        "skipped: line 3, Cylinder temperature: 'n/a' says nothing",
        "2 profiles written, 0 already there",
    ):
        assert line in result.output, line
    written = (tmp_path / "into/sites/vastra/one.toml").read_text(encoding="utf-8")
    assert "tank_setpoint" not in written and "value = 1038" in written, "the comma was the decimal sign elsewhere"
    assert 'from = "guessed"' in (tmp_path / "into/sites/ostra/one.toml").read_text(encoding="utf-8")


def test_twice_is_as_once(tmp_path: Path) -> None:
    run(tmp_path, GOOD, *METRIC)
    before = everything(tmp_path)
    again = run(tmp_path, GOOD, *METRIC)
    assert again.exit_code == 0 and "0 profiles written, 2 already there" in again.output
    assert everything(tmp_path) == before


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_the_encodings_in_which_spreadsheets_are_saved(tmp_path: Path, encoding: str) -> None:
    assert run(tmp_path, GOOD.encode(encoding), *METRIC).exit_code == 0
    assert 'site = "Östra"' in (tmp_path / "into/sites/ostra/one.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
def test_the_separators(tmp_path: Path, separator: str) -> None:
    text = "site;boiler;heating set point;design load\nA;One;150;88000\n".replace(";", separator)
    assert run(tmp_path, text, "--units", "us", "--control", "ours").exit_code == 0
    assert "heating_setpoint = 150" in (tmp_path / "into/sites/a/one.toml").read_text(encoding="utf-8")


def test_thousands_marks_and_a_doubt_about_them(tmp_path: Path) -> None:
    sure = 'site,boiler,design load,heating set point\nA,One,"88,000",150.5\n'
    assert run(tmp_path, sure, "--units", "us", "--control", "ours").exit_code == 0
    assert "value = 88000" in (tmp_path / "into/sites/a/one.toml").read_text(encoding="utf-8")
    doubt = 'site,boiler,design load\nB,One,"88,000"\n'
    asked = run(tmp_path, doubt, "--units", "us", "--control", "ours")
    assert asked.exit_code == 2 and "say --decimal point or comma" in asked.stderr
    assert run(tmp_path, doubt, "--units", "us", "--control", "ours", "--decimal", "point").exit_code == 0


def test_units_are_asked_for_and_never_guessed(tmp_path: Path) -> None:
    result = run(tmp_path, GOOD, "--control", "ours")
    assert result.exit_code == 2 and "name --units us or --units metric" in result.stderr
    assert everything(tmp_path) == {}


def portfolio(folder: Path, units: str) -> None:
    (folder / "into").mkdir()
    text = f'format = 1\nname = "Ours"\nunits = "{units}"\n'
    (folder / "into" / "portfolio.toml").write_text(text, encoding="utf-8")


def test_the_units_of_the_portfolio_count_where_none_are_named(tmp_path: Path) -> None:
    portfolio(tmp_path, "metric")
    result = run(tmp_path, GOOD, "--control", "ours")
    assert result.exit_code == 0, result.output
    assert "numbers without a unit: metric" in result.output and "note:" not in result.stderr
    assert "tank_setpoint = 60" in (tmp_path / "into/sites/ostra/one.toml").read_text(encoding="utf-8")
    assert run(tmp_path, "site,boiler,flow temp\nB,Two,140\n", "--control", "ours", "--units", "us").exit_code == 0
    named = (tmp_path / "into/sites/b/two.toml").read_text(encoding="utf-8")
    assert 'units = "us"' in named and "heating_setpoint = 140" in named


def test_a_table_that_states_every_unit_needs_no_answer(tmp_path: Path) -> None:
    stated = "site,boiler,flow temp [F],design load (Btu/h)\nA,One,140,88000\n"
    assert run(tmp_path, stated, "--control", "ours").exit_code == 0
    assert 'units = "us"' in (tmp_path / "into/sites/a/one.toml").read_text(encoding="utf-8")
    mixed = "site,boiler,flow temp [F],design load (kW)\nA,Two,140,8\n"
    assert run(tmp_path, mixed, "--control", "ours").exit_code == 2


def test_a_mapping_needs_no_units(tmp_path: Path) -> None:
    mapping = tmp_path / "map.toml"
    first = run(tmp_path, GOOD, "--control", "ours", "--write-mapping", str(mapping))
    assert first.exit_code == 0 and "and no profile" in first.output
    assert everything(tmp_path) == {}
    text = mapping.read_text(encoding="utf-8")
    assert '"Flow temp [°C]" = "heating_setpoint"' in text and "settingslint explain --names" in text
    again = run(tmp_path, GOOD, *METRIC, "--write-mapping", str(mapping))
    assert again.exit_code == 2 and "exists; nothing was changed" in again.stderr
    assert mapping.read_text(encoding="utf-8") == text and everything(tmp_path) == {}


def test_outside_a_portfolio_it_is_said_how_to_make_one(tmp_path: Path) -> None:
    result = run(tmp_path, GOOD, *METRIC)
    assert f"note: no portfolio.toml in {tmp_path / 'into'}: write it there" in result.stderr
    assert "settingslint begin" in result.stderr


def test_the_command_that_lists_the_names_lists_them_all() -> None:
    listed = CliRunner().invoke(app(("explain",)), ["explain", "--names"])
    assert listed.exit_code == 0
    there = {line.split()[0].rstrip(":") for line in listed.output.splitlines() if line.startswith("  ")}
    assert targets() <= there
    one = CliRunner().invoke(app(("explain",)), ["explain", "hot_water.kind"])
    assert one.output == "hot_water.kind: what makes the hot water (none, tank, plate, separate)\n"


def test_a_wrong_row_writes_nothing_unless_told_to(tmp_path: Path) -> None:
    bad = GOOD + "Södra;One;hot;60;41;red\n"
    result = run(tmp_path, bad, *METRIC)
    assert result.exit_code == 2 and everything(tmp_path) == {}
    assert "sheet.csv:4:3:" in result.stderr and "nothing written" in result.output
    result = run(tmp_path, bad, *METRIC, "--skip-wrong")
    assert result.exit_code == 2 and len(everything(tmp_path)) == 2


def test_a_mapping_is_kept_and_used(tmp_path: Path) -> None:
    odd = "site;boiler;heating setpiont\nA;One;60\n"
    mapping = tmp_path / "map.toml"
    plain = run(tmp_path / "other", odd, *METRIC)
    assert "did you mean heating_setpoint? say so in a mapping file" in plain.output
    first = run(tmp_path, odd, *METRIC, "--write-mapping", str(mapping))
    assert f"--mapping {mapping}\n" in first.output and everything(tmp_path) == {}, "only the mapping is written"
    text = mapping.read_text(encoding="utf-8")
    assert '"heating setpiont" = "" # heating_setpoint?\n' in text, "nothing is taken before somebody says so"
    mapping.write_text(text.replace('"" # heating_setpoint?', '"heating_setpoint"'), encoding="utf-8")
    assert run(tmp_path, odd, *METRIC, "--mapping", str(mapping)).exit_code == 0
    assert "heating_setpoint = 60" in (tmp_path / "into/sites/a/one.toml").read_text(encoding="utf-8")


def test_emitters_and_what_was_left_at_default(tmp_path: Path) -> None:
    text = (
        "site,boiler,radiator type,design flow [F],design return [F],differential\nA,One,finned tube,180,160,default\n"
    )
    assert run(tmp_path, text, "--units", "us", "--control", "ours").exit_code == 0
    written = (tmp_path / "into/sites/a/one.toml").read_text(encoding="utf-8")
    assert "[[emitter]]" in written and "design_supply" in written
    assert 'heating_differential = {left = "default"}' in written


def test_a_cell_in_another_unit_than_its_column_is_told(tmp_path: Path) -> None:
    """60 C below a header in F becomes 140 F, which is said: how many such cells there are, and the first."""
    head = "Site;Boiler;Flow temp [F];Cylinder temperature\n"
    result = run(tmp_path, head + "A;One;60 C;140\nA;Two;160;60 °C\nA;Three;160 F;140\n", "--units", "us", *METRIC[2:])
    assert result.exit_code == 0, result.output
    assert "note: 2 cells in another unit than their column, converted: line 2, Flow temp [F]: 60 C is 140 F" in (
        result.output
    )
    assert "heating_setpoint = 140" in (tmp_path / "into/sites/a/one.toml").read_text(encoding="utf-8")
    again = run(tmp_path / "other", head + "A;One;160 F;140\n", "--units", "us", *METRIC[2:])
    assert "another unit" not in again.output

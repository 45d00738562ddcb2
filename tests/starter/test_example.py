"""The example portfolio with its history: valid at every step, ended by what lies in `profiles/`, and worth a look."""

from __future__ import annotations

import subprocess
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Final

import pytest
from typer.testing import CliRunner

from settingslint.checking.check import check
from settingslint.checking.report import Report
from settingslint.cli import app
from settingslint.model.validate import SCHEMA_NAMES
from settingslint.starter.example import Moment, before, example_files, moments, with_schemas, write_example

SCHEMAS: Final = tuple(f"{name}.schema.json" for name in SCHEMA_NAMES)
PROFILES: Final = Path(__file__).parents[2] / "profiles"


@cache
def story() -> list[Moment]:
    return moments(example_files())


def put(folder: Path, moment: Moment) -> Path:
    for path, content in moment.files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(content)
    return folder


def report(folder: Path, moment: Moment) -> Report:
    return check([put(folder, moment)], moment.at.date())


def found(folder: Path, moment: Moment) -> set[tuple[str, str]]:
    return {(result.site, one.rule) for result in report(folder, moment).results for one in result.findings}


def at(subject: str) -> int:
    return next(index for index, one in enumerate(story()) if one.message.startswith(subject))


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("example")
    write_example(folder)
    return folder


def git(folder: Path, *words: str) -> str:
    return subprocess.run(["git", *words], cwd=folder, capture_output=True, text=True, check=True).stdout


def test_the_last_state_is_the_portfolio_byte_for_byte(example: Path) -> None:
    files = {
        path.relative_to(PROFILES).as_posix(): path.read_bytes()
        for path in PROFILES.rglob("*")
        if path.is_file()
        and path.suffix != ".svg"
        and not any(part.startswith(".") for part in path.relative_to(PROFILES).parts)
    }
    assert story()[-1].files == files
    assert set(git(example, "ls-files").splitlines()) == set(files) | {f"schemas/{one}" for one in SCHEMAS}
    placed = with_schemas(files)
    assert {path: (example / path).read_bytes() for path in files} == placed
    for path, content in placed.items():
        assert content.split(b"\n")[1:] == files[path].split(b"\n")[1:], "no more than the first line differs"
    assert git(example, "status", "--porcelain") == ""


def test_the_schema_that_a_file_names_is_there(example: Path) -> None:
    named = {
        path: first.removeprefix("#:schema ")
        for path in example.rglob("*.toml")
        if (first := path.read_text(encoding="utf-8").split("\n")[0]).startswith("#:schema ")
    }
    assert len(named) == len(list(example.rglob("*.toml"))) > 20
    for path, schema in named.items():
        assert (path.parent / schema).resolve() in {(example / "schemas" / one).resolve() for one in SCHEMAS}, path
        assert (path.parent / schema).is_file()


def test_there_are_two_years_of_dated_commits_by_several_people(example: Path) -> None:
    lines = git(example, "log", "--reverse", "--format=%ad|%cd|%an|%ae|%s", "--date=short").splitlines()
    assert len(lines) == len(story()) >= 25
    rows = [line.split("|") for line in lines]
    assert [row[0] for row in rows] == sorted(row[0] for row in rows)
    assert date.fromisoformat(rows[-1][0]) - date.fromisoformat(rows[0][0]) > timedelta(days=2 * 365)
    assert all(row[0] == row[1] for row in rows)
    assert len({row[2] for row in rows}) >= 4
    assert all(row[3].endswith("@example.org") for row in rows)


def test_every_state_can_be_read(tmp_path: Path) -> None:
    for index, moment in enumerate(story()):
        made = report(tmp_path / str(index), moment)
        assert made.problems == (), moment.message


def test_no_state_knows_what_comes_later() -> None:
    for moment in story():
        today = moment.at.date()
        for path, content in moment.files.items():
            for line in content.decode().splitlines() if path.startswith("sites/") else ():
                for word in line.replace(",", " ").split():
                    try:
                        day = date.fromisoformat(word)
                    except ValueError:
                        continue
                    if "until" not in line:
                        assert day <= today, f"{moment.message}: {path}: {line}"


def test_each_commit_changes_something_and_visits_have_both_steps(example: Path) -> None:
    for old, new in zip(story(), story()[1:], strict=False):
        assert old.files != new.files, new.message
    each = "valueonly,separator=%x2C"
    form = f"--format=%(trailers:key=Visit-Step,{each})|%(trailers:key=Visit-Date,{each})|%ad"
    log = git(example, "log", form, "--date=short")
    rows = [line.split("|") for line in log.splitlines()]
    assert [row[0] for row in rows].count("as found") >= 4
    assert all(row[1] == row[2] for row in rows if row[0]), "a visit has the date of its commit"


def test_the_campaign_broke_two_sites_and_one_was_mended(tmp_path: Path) -> None:
    index = at("Campaign")
    assert sum(
        story()[index].files[path] != story()[index - 1].files[path] for path in story()[index - 1].files
    ) == 5  # fmt: skip
    rule = "boiler-target-near-tank-target"
    broken = found(tmp_path / "b", story()[index]) - found(tmp_path / "a", story()[index - 1])
    assert broken == {("Bell Street Library", rule), ("Tanners Court", rule)}
    mended = at("Bell Street Library: boiler target during hot water back")
    assert ("Bell Street Library", rule) not in found(tmp_path / "c", story()[mended])
    assert ("Tanners Court", rule) in found(tmp_path / "d", story()[-1])


def test_a_new_board_puts_everything_back_and_the_record_restores_it(tmp_path: Path) -> None:
    index = at("Millers Row: as found, with the new board")
    assert ("Millers Row", "all-at-defaults") in found(tmp_path / "a", story()[index])
    path = "sites/millers-row/boiler-1.toml"
    before_, after = (story()[one].files[path].decode() for one in (index - 1, index + 1))
    changed = {line for line in after.splitlines() if line not in before_.splitlines()}
    assert not any(line.partition(" ")[0] in before_.partition("[settings]")[2].partition("[visit]")[0] and
                   line.startswith(("heating", "reset", "pump", "warm")) for line in changed)  # fmt: skip
    assert ("Millers Row", "all-at-defaults") not in found(tmp_path / "b", story()[index + 1])


def test_a_temporary_change_was_forgotten_and_another_was_put_back(tmp_path: Path) -> None:
    assert ("Tanners Court", "temporary-change-overdue") in found(tmp_path / "a", story()[-1])
    back = at("Quarry School: cold spell over")
    assert b"until" in story()[back - 1].files["sites/quarry-school/boiler-1.toml"]
    assert b"until" not in story()[back].files["sites/quarry-school/boiler-1.toml"]


def test_begin_writes_it_and_leaves_a_folder_with_something_alone(tmp_path: Path) -> None:
    runner = CliRunner()
    made = runner.invoke(app(("begin",)), ["begin", str(tmp_path / "estate"), "--example"])
    assert made.exit_code == 0 and f"its history in {len(story())} commits" in made.output
    again = runner.invoke(app(("begin",)), ["begin", str(tmp_path / "estate"), "--example"])
    assert again.exit_code == 2 and "nothing was changed" in again.stderr


def test_it_is_the_same_everywhere(example: Path, tmp_path: Path) -> None:
    write_example(tmp_path)
    assert git(example, "rev-parse", "HEAD") == git(tmp_path, "rev-parse", "HEAD"), (
        "so that papers can name its commits"
    )


def test_lines_as_they_stood_before() -> None:
    text = '[plant]\nname = "A"\n\n[settings]\nkeep_warm = 8   # long\nreset = true\n\n[[accepted]]\nrule = "x"\n'
    assert before(text, ["settings.keep_warm = 4"]) == text.replace("8   # long", "4")
    assert "keep_warm" not in before(text, ["settings.keep_warm = "])
    assert "accepted" not in before(text, ["[[accepted]] = "])
    assert before(text, ["settings.low_fire_hold = 2"]).count("low_fire_hold = 2") == 1
    assert before(text, ["settings.low_fire_hold = 2"]).index("low_fire_hold") < text.index("[[accepted]]")

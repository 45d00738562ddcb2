"""A path that is no profile, or no portfolio, is named for what it is, with the command that was meant."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from settingslint.cli import app


def run(*args: str, answers: str = "") -> Result:
    return CliRunner().invoke(app((args[0].replace("-", "_"),)), list(args), input=answers)


@pytest.fixture
def new(tmp_path: Path) -> Path:
    run("begin", str(tmp_path / "new"))
    return tmp_path / "new"


@pytest.mark.parametrize("command", ["effect", "calculate", "visit", "timeline", "sheet"])
def test_what_takes_a_profile_names_the_other_two_files_for_what_they_are(new: Path, command: str) -> None:
    control = run(command, str(new / "controls" / "my-control.toml"))
    assert control.exit_code == 2
    assert (
        "my-control.toml is a control file: name one profile" in control.stderr
        and "settingslint check" in control.stderr
    )
    portfolio = run(command, str(new / "portfolio.toml"))
    assert portfolio.exit_code == 2 and "is the file of the whole portfolio" in portfolio.stderr


def test_check_of_portfolio_toml_says_to_name_its_folder(new: Path) -> None:
    result = run("check", str(new / "portfolio.toml"))
    assert result.exit_code == 2 and "name its folder" in result.stderr and "unreadable" not in result.output


def test_check_of_the_folder_of_controls_looks_at_each(new: Path) -> None:
    (new / "controls" / "other.toml").write_bytes((new / "controls" / "my-control.toml").read_bytes())
    alone = run("check", str(new / "controls" / "my-control.toml"))
    both = run("check", str(new / "controls"), "--stop-at", "nothing")
    assert both.exit_code == 0 and alone.output in both.output
    assert "other.toml:8:8: outage: the name is my-control" in both.output


def test_a_folder_without_a_profile_is_no_empty_table_and_no_report(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    table = run("export", str(tmp_path / "empty"))
    assert table.exit_code == 2 and "no profile found here" in table.stderr and table.stdout == ""
    pages = run("report", str(tmp_path / "empty"), "--to", str(tmp_path / "pages"))
    assert pages.exit_code == 2 and "no profile found here" in pages.stderr
    assert not (tmp_path / "pages").exists()


def test_an_empty_folder_has_no_name_to_be_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    out = run("check", ".", "--as-of", "2026-11-25").stdout
    assert "0 boilers as of 2026-11-25: " in out


def test_a_control_described_outside_a_portfolio_gets_a_note(tmp_path: Path, new: Path) -> None:
    nowhere = run("begin", str(tmp_path / "nix"), "--control", "ours", answers="none\n")
    assert f"no portfolio.toml in {tmp_path / 'nix'}: settingslint begin" in nowhere.stderr
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("x", encoding="utf-8")
    assert 'write it there: format = 1, name = "..."' in run(
        "begin", str(tmp_path / "full"), "--control", "ours", answers="none\n"
    ).stderr  # fmt: skip
    inner = run("begin", str(new / "sites"), "--control", "ours", answers="none\n")
    assert f"is part of the portfolio {new}" in inner.stderr
    assert "note:" not in run("begin", str(new), "--control", "ours", answers="none\n").stderr


def test_the_lines_that_the_note_names_make_a_portfolio(tmp_path: Path) -> None:
    text = 'format = 1\nname = "..."\nunits = "metric"\n'
    (tmp_path / "portfolio.toml").write_text(text, encoding="utf-8")
    assert "note:" not in run("begin", str(tmp_path), "--control", "ours", answers="none\n").stderr
    told = [line for line in run("check", str(tmp_path)).output.splitlines() if "unreadable: " in line]
    assert len(told) == 1 and told[0].endswith("no profile found here")

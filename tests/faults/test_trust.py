"""A stranger's proposal is checked in CI: nothing in it leaves the portfolio, runs a program, or speaks to a terminal.

Each attack is shown to succeed with its guard taken away, so that the test tests the guard.
"""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path
from typing import Any, Final

import jinja2
import pytest

from settingslint.checking.check import check
from settingslint.checking.report import Report
from settingslint.files import reading as files
from settingslint.files import weather as climate
from settingslint.model import schema_parts, validate
from settingslint.model.source import Source, parse, read_bytes
from settingslint.model.values import Unreadable
from settingslint.output import Look, render

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
PROFILE: Final = "sites/pump-house/boiler-1.toml"


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    """Return a portfolio of one plant in a folder beside a secret."""
    folder = tmp_path / "estate"
    (folder / PROFILE).parent.mkdir(parents=True)
    shutil.copytree(HOME / "controls", folder / "controls")
    shutil.copy(HOME / PROFILE, folder / PROFILE)
    (folder / "portfolio.toml").write_text('format = 1\nname = "Estate"\n', encoding="utf-8")
    (tmp_path / "secret.toml").write_text("password = 'hunter2'\n", encoding="utf-8")
    return folder


def change(folder: Path, old: str, new: str, name: str = PROFILE) -> None:
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text
    (folder / name).write_text(text.replace(old, new), encoding="utf-8")


def problems(report: Report) -> str:
    assert report.exit_status(None) == (2 if report.problems else 0)
    return "\n".join(one.message for one in report.problems)


@pytest.mark.parametrize(
    "name", ["../../secret", "/etc/passwd", "..\\\\..\\\\secret", "C:secret", "a/../../x", "con\\u0000", "-rf", "", "."]
)
def test_a_control_name_that_is_a_path(estate: Path, name: str) -> None:
    change(estate, 'control = "example-a"', f'control = "{name}"')
    said = problems(check([estate], AS_OF))
    assert "plant.control" in said
    assert "hunter2" not in said


def test_without_the_pattern_the_control_name_leaves_the_folder(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The guard is the schema's pattern."""
    change(estate, 'control = "example-a"', 'control = "../../secret"')
    asked: list[Path] = []
    real = read_bytes

    def note(path: Path, name: str) -> bytes:
        asked.append(path)
        return real(path, name)

    monkeypatch.setattr(files, "read_bytes", note)
    check([estate], AS_OF)
    assert not any("secret" in str(path) for path in asked)
    guarded = validate.check_schema
    monkeypatch.setattr(
        "settingslint.files.reader.check_schema", lambda source, name: name == "profile" or guarded(source, name)
    )
    monkeypatch.setattr(files.Disk, "_below", lambda self, root, path: True)
    check([estate], AS_OF)
    assert any("secret" in str(path) for path in asked)
    assert schema_parts.NAME["pattern"].startswith("^[A-Za-z0-9]")


@pytest.mark.parametrize("what", ["profile", "control", "folder of controls", "site"])
def test_a_link_that_leads_out(estate: Path, tmp_path: Path, what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    outside = tmp_path / "outside"
    if what == "profile":
        (estate / PROFILE).rename(outside)
        (estate / PROFILE).symlink_to(outside)
    elif what == "control":
        (estate / "controls" / "example-a.toml").rename(outside)
        (estate / "controls" / "example-a.toml").symlink_to(outside)
    elif what == "folder of controls":
        (estate / "controls").rename(outside)
        (estate / "controls").symlink_to(outside)
    else:
        (estate / "sites" / "pump-house").rename(outside)
        (estate / "sites" / "pump-house").symlink_to(outside)
    said = problems(check([estate], AS_OF))
    assert said
    if what != "site":  # a folder that is a link is not looked into at all
        assert "leads out of the portfolio" in said
        monkeypatch.setattr(files.Disk, "_below", lambda self, root, path: True)
        assert problems(check([estate], AS_OF)) == ""


def test_a_link_that_stays_inside_is_followed(estate: Path) -> None:
    (estate / "sites" / "pump-house" / "boiler-1.toml").rename(estate / "kept.toml")
    (estate / PROFILE).symlink_to(estate / "kept.toml")
    report = check([estate], AS_OF)
    assert [one.path for one in report.results if one.path.endswith(PROFILE)]
    assert [one.file.rpartition("/")[2] for one in report.problems] == ["kept.toml"]  # a profile out of its place


@pytest.mark.parametrize("name", ["../secret.toml", "/etc/passwd", "a/../../secret.toml", "link.csv"])
def test_a_weather_file_elsewhere(estate: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    (estate / "link.csv").symlink_to(estate.parent / "secret.toml")
    (estate / "portfolio.toml").write_text(f'format = 1\nname = "Estate"\nclimate = "{name}"\n', encoding="utf-8")
    said = problems(check([estate], AS_OF))
    assert "is outside the portfolio's folder" in said
    assert "hunter2" not in said
    monkeypatch.setattr(climate, "_below", lambda root, name, source: (root / name).resolve())
    assert "is outside" not in problems(check([estate], AS_OF))


HOSTILE: Final = "\\u001b]0;taken\\u0007\\u001b[2J<script>alert(1)</script>|`=cmd()`\\u202e"


def hostile(estate: Path) -> Report:
    change(estate, 'by = "R. Holm"', f'by = "{HOSTILE}"')
    change(estate, 'why = "fan coils at design"', f'why = "{HOSTILE}", until = 2026-01-01, watched_by = "{HOSTILE}"')
    return check([estate], AS_OF)


def test_no_control_character_reaches_the_terminal(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    report = hostile(estate)
    printed = render("text", report, Look())
    assert "temporary-change-overdue" in printed
    assert not any(ord(sign) < 32 and sign != "\n" for sign in printed)
    assert "\u202e" not in printed
    monkeypatch.setattr("settingslint.plain._spelled", lambda text: text)
    assert "\x1b" in render("text", report, Look())


def test_markdown_holds_no_markup_of_a_stranger(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    report = hostile(estate)
    assert "<script>" not in render("markdown", report, Look())
    monkeypatch.setattr("settingslint.output.markdown.escaped", lambda text: text)
    assert "<script>" in render("markdown", report, Look())


def test_templates_escape_by_themselves() -> None:
    """One environment for all pages and papers, with escaping on."""
    from settingslint.report import pages

    source = Path(pages.__file__).parent
    made = [file for file in source.rglob("*.py") if "Environment(" in file.read_text(encoding="utf-8")]
    assert made
    for file in made:
        text = file.read_text(encoding="utf-8")
        assert text.count("autoescape") >= text.count("Environment("), file.name
    assert str(jinja2.Environment(autoescape=True).from_string("{{ x }}").render(x="<b>")) == "&lt;b&gt;"


def test_a_schema_error_shows_no_more_of_a_value_than_a_line() -> None:
    source = parse(b'format = 1\nunits = "' + b"x" * 5000 + b'"\n', "p.toml")
    with pytest.raises(Unreadable) as refused:
        validate.check_schema(source, "profile")
    assert all(len(one.message) < 400 for one in refused.value.problems)


def test_a_source_is_data_only() -> None:
    """TOML has no way to name code; what is read stays plain data."""
    data: dict[str, Any] = Source("x", "", parse(b'a = "!!python/object"\nb = 2026-01-01', "x").data).data
    assert data == {"a": "!!python/object", "b": "2026-01-01"}

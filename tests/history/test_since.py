"""`check --new-since`: only what a revision did not have counts; compared with git's own history in a folder."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.history.kit import Work, started

ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "schemas" / "findings.schema.json").read_text(encoding="utf-8"))
DEBT = {"settings.keep_warm": 3}
"""Plate keep-warm with a tank: a finding of its own rule."""
RULE = "keep-warm-with-tank"


def run(work: Work, *words: str, cwd: str = ".") -> tuple[int, str, str]:
    done = subprocess.run(
        [sys.executable, "-m", "settingslint", "check", *words, "--as-of", "2026-11-25"], cwd=work.folder / cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def new(work: Work, revision: str = "HEAD", *words: str) -> list[tuple[str, str, str]]:
    """Return plant, rule and setting of what is new and open."""
    code, out, err = run(work, ".", "--new-since", revision, "--form", "json", "--stop-at", "nothing", *words)
    assert code in (0, 2), err
    data: dict[str, Any] = json.loads(out)
    jsonschema.validate(data, SCHEMA)
    assert data["compared_with"] == revision
    return [
        (plant["plant"], one["rule"], one["setting"])
        for plant in data["plants"]
        for one in plant["findings"]
        if one["new"] and one["accepted"] is None
    ]


@pytest.fixture
def work(tmp_path: Path) -> Work:
    work = started(tmp_path / "p")
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2", **DEBT})
    work.commit("a second boiler, with old debt")
    return work


def test_nothing_changed_nothing_is_new(work: Work) -> None:
    assert new(work) == []
    code, out, _ = run(work, ".", "--new-since", "HEAD", "--stop-at", "record")
    assert code == 0
    assert RULE not in out.split("1 plant")[0].split("\n")[0] and f"[{RULE}]" not in out
    lines = [line for line in out.splitlines() if "had already" in line]
    assert len(lines) == 1 and "2 findings that HEAD had already" in lines[0]


def test_old_debt_does_not_block_and_new_debt_does(work: Work) -> None:
    assert run(work, ".", "--stop-at", "waste")[0] == 1
    assert run(work, ".", "--stop-at", "waste", "--new-since", "HEAD")[0] == 0
    work.profile("sites/mill/boiler-1.toml", DEBT)
    assert new(work) == [("Boiler 1", RULE, "keep_warm")]
    assert run(work, ".", "--stop-at", "waste", "--new-since", "HEAD")[0] == 1
    work.commit("debt")
    assert new(work) == []
    assert new(work, "HEAD~1") == [("Boiler 1", RULE, "keep_warm")]


def test_other_numbers_and_moved_lines_are_the_same_finding(work: Work) -> None:
    file = work.profile(
        "sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2", "settings.keep_warm": 4}
    )
    file.write_text("# moved\n\n\n" + file.read_text(encoding="utf-8"), encoding="utf-8")
    assert new(work) == []


def test_a_changed_control_file_counts(work: Work) -> None:
    """The control now takes what was typed for something else: the plant's own file is as it was."""
    changes = {"setting.tank_setpoint.treatments": [{"does": "ignore", "low": 130, "high": 150, "becomes": 112}]}
    before = new(work)
    work.control(changes)
    found = new(work)
    assert before == [] and {one[0] for one in found} == {"Boiler 1", "Boiler 2"}
    assert ("Boiler 1", "tank-below-hygiene-temperature", "tank_setpoint") in found
    work.commit("the control")
    assert new(work) == [] and new(work, "HEAD~1") == found


def test_what_the_owner_sets_counts(work: Work) -> None:
    work.write("portfolio.toml", f'format = 1\nname = "Kit"\n\n[severities]\n{RULE} = "danger"\n')
    assert new(work) == []  # worse, and the same finding


def test_a_moved_and_renamed_plant_is_followed(work: Work) -> None:
    work.git("mv", "sites/mill/boiler-2.toml", "sites/mill/cellar.toml")
    assert new(work) == []
    work.profile("sites/mill/cellar.toml", {"plant.name": "Cellar", "plant.serial": "K-2", **DEBT})
    assert new(work) == []
    (work.folder / "sites/mill/cellar.toml").unlink()
    work.profile("sites/quay/one.toml", {"plant.name": "Quay", "plant.site": "Quay", "plant.serial": "K-9", **DEBT})
    assert ("Quay", RULE, "keep_warm") in new(work)  # another boiler


def test_a_finding_that_was_accepted_is_new_when_nobody_accepts_it_any_more(work: Work) -> None:
    accepted = {"accepted": [{"rule": RULE, "because": "asked for", "by": "M. Okoro", "until": "2027-03-31"}]}
    two = {"plant.name": "Boiler 2", "plant.serial": "K-2", **DEBT}
    work.profile("sites/mill/boiler-2.toml", {**two, **accepted})
    work.commit("accepted")
    assert new(work) == []
    work.profile("sites/mill/boiler-2.toml", two)
    assert new(work) == [("Boiler 2", RULE, "keep_warm")]
    assert new(work, "HEAD~1") == []


def test_a_part_of_the_portfolio(work: Work) -> None:
    work.profile("sites/quay/one.toml", {"plant.name": "One", "plant.site": "Quay", "plant.serial": "K-3"})
    work.commit("a third")
    work.profile("sites/quay/one.toml", {"plant.name": "One", "plant.site": "Quay", "plant.serial": "K-3", **DEBT})
    assert run(work, "sites/mill", "--stop-at", "waste", "--new-since", "HEAD")[0] == 0
    assert run(work, "sites/quay", "--stop-at", "waste", "--new-since", "HEAD")[0] == 1
    assert run(work, "one.toml", "--stop-at", "waste", "--new-since", "HEAD", cwd="sites/quay")[0] == 1


def test_a_portfolio_below_the_top_of_its_repository(tmp_path: Path) -> None:
    outer = started(tmp_path / "outer" / "estate")
    assert new(outer) == []
    work = Work(tmp_path / "top")
    inner = Work.__new__(Work)
    inner.folder, inner.day = work.folder / "a b" / "estate", 1
    inner.write("portfolio.toml", 'format = 1\nname = "Kit"\n')
    inner.control()
    inner.profile("sites/mill/boiler-1.toml", DEBT)
    work.commit("first")
    assert new(inner) == []
    inner.profile("sites/mill/boiler-3.toml", {"plant.name": "Three", "plant.serial": "K-3", **DEBT})
    assert ("Three", RULE, "keep_warm") in new(inner)


def test_what_could_not_be_read_then_had_nothing(work: Work) -> None:
    work.write("sites/mill/boiler-2.toml", "format = 1\n")
    work.commit("broken")
    assert new(work) == []  # unreadable today too: no finding, and status 2 by itself
    assert run(work, ".", "--new-since", "HEAD")[0] == 2
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2", **DEBT})
    assert ("Boiler 2", RULE, "keep_warm") in new(work)


@pytest.mark.parametrize("revision", ["no-such-thing", "--all", "", "HEAD:portfolio.toml"])
def test_a_revision_that_names_no_commit_ends_with_status_2(work: Work, revision: str) -> None:
    code, out, err = run(work, ".", f"--new-since={revision}")
    assert (code, out) == (2, "")
    assert err.startswith("settingslint: --new-since") and len(err.splitlines()) == 1


def test_outside_a_repository_it_ends_with_status_2(tmp_path: Path) -> None:
    work = Work(tmp_path / "p")
    work.write("portfolio.toml", 'format = 1\nname = "Kit"\n')
    work.control()
    work.profile()
    shutil.rmtree(work.folder / ".git")
    code, _, err = run(work, ".", "--new-since", "HEAD")
    assert code == 2 and "is not in a git repository" in err


def test_a_plant_that_is_gone_is_said_in_every_form(work: Work) -> None:
    (work.folder / "sites/mill/boiler-2.toml").unlink()
    for form in ("text", "markdown", "sarif", "junit", "json"):
        code, out, err = run(work, ".", "--new-since", "HEAD", "--form", form, "--stop-at", "nothing")
        assert code == 0, err
        assert "boiler-2.toml" in out, form
        assert "is gone since HEAD; nothing of it is checked any more" in " ".join(out.split()), form
    data: dict[str, Any] = json.loads(out)
    jsonschema.validate(data, SCHEMA)
    [gone] = data["gone"]
    assert (gone["file"], gone["plant"]) == ("sites/mill/boiler-2.toml", "Boiler 2")
    assert gone["findings"] >= 1


@pytest.mark.parametrize("how", ["moved", "unreadable", "asked for another site"])
def test_a_plant_that_is_still_there_is_not_called_gone(work: Work, how: str) -> None:
    asked = "."
    file = work.folder / "sites/mill/boiler-2.toml"
    if how == "moved":
        file.rename(file.with_name("boiler-9.toml"))
    elif how == "unreadable":
        file.write_text("format =", encoding="utf-8")
    else:
        other = work.folder / "sites/quay"
        other.mkdir()
        shutil.copy(work.folder / "sites/mill/boiler-1.toml", other / "boiler-1.toml")
        file.unlink()
        asked = "sites/quay"
    _, out, err = run(work, asked, "--new-since", "HEAD", "--form", "json")
    assert json.loads(out)["gone"] == [], err

"""Where notes are asked for: revisions that are none, no repository, a shallow clone, a portfolio below the top."""

from __future__ import annotations

from pathlib import Path

import pytest

from settingslint.history import NoHistory
from settingslint.history.notes import Notes, notes
from settingslint.history.repository import Repository
from tests.bench.portfolio import text_of
from tests.history.kit import Work, started
from tests.history.test_notes import PROFILE, ends, names, noted, only
from tests.rules.kit import profile_data, put


@pytest.mark.parametrize(
    ("revisions", "says"),
    [
        ("-x", "is no revision"), ("--output=stolen", "is no revision"), ("HEAD..-x", "is no revision"),
        ("HEAD\n", "is no revision"), ("nowhere", "names no commit"), ("HEAD..nowhere", "names no commit"),
        ("HEAD...HEAD", "two dots"), ("HEAD:sites", "names no commit"), ("\x1b[31m", "is no revision"),
    ],
)  # fmt: skip
def test_revisions_that_are_none(tmp_path: Path, revisions: str, says: str) -> None:
    work = started(tmp_path / "p")
    with pytest.raises(NoHistory, match=says):
        noted(work, revisions)
    assert not (work.folder / "stolen").exists()


def test_where_there_is_no_repository_or_no_commit(tmp_path: Path) -> None:
    with pytest.raises(NoHistory, match="is not in a git repository"):
        Repository(tmp_path)
    work = Work(tmp_path / "p")
    work.profile()
    with pytest.raises(NoHistory, match="no commit yet"):
        noted(work)


def test_a_shallow_clone_says_so(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    for value in (150, 155, 160):
        work.profile(changes={"settings.heating_setpoint": value})
        work.commit()
    other = Work(tmp_path / "other")
    other.git("clone", "-q", "--depth", "2", work.folder.as_uri(), str(tmp_path / "clone"))
    clone = object.__new__(Work)
    clone.folder = tmp_path / "clone"
    found = noted(clone)
    assert names(only(found)) == ["heating_setpoint"]
    assert any("shallow" in remark for remark in found.remarks)
    with pytest.raises(NoHistory, match="shallow"):
        noted(clone, "HEAD~1")
    with pytest.raises(NoHistory, match="shallow"):
        noted(clone, "HEAD~3..HEAD")


def test_a_portfolio_below_the_top_of_its_repository(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    inner = Work(tmp_path / "whole")
    target = inner.folder / "estate"
    for name in ("portfolio.toml", "controls/kit.toml", PROFILE):
        inner.write(f"estate/{name}", (work.folder / name).read_bytes())
    inner.write("unrelated.toml", "no = profile")
    inner.commit()
    data = profile_data()
    put(data, {"settings.heating_setpoint": 150})
    inner.write(f"estate/{PROFILE}", text_of(data))
    inner.write("unrelated.toml", "still = none")
    inner.commit()
    with Repository(target) as repository:
        note = only(notes(repository, target))
    assert names(note) == ["heating_setpoint"]


def test_a_toml_file_beside_the_sites_is_no_profile(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.write("pyproject.toml", "[tool]\n")
    work.commit()
    assert noted(work) == Notes(*ends(work), notes=())

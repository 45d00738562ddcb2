"""A plant that the last commit has and that the check of a portfolio did not read is a problem."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.api import Estate
from settingslint.checking import lost
from settingslint.files import strangers
from tests.history.kit import Work

AS_OF: Final = date(2026, 11, 25)
ONE: Final = "sites/one/boiler-1.toml"
TWO: Final = "sites/two/boiler-1.toml"


def numbered(work: Work, name: str, number: int) -> None:
    words = {"plant.name": f"Boiler {number}", "plant.site": f"Site {number}", "plant.serial": f"K-{number}"}
    work.profile(name, words)


@pytest.fixture
def work(tmp_path: Path) -> Work:
    """Return a portfolio of two plants, committed."""
    made = Work(tmp_path / "estate")
    made.write("portfolio.toml", 'format = 1\nname = "Estate"\nunits = "us"\n')
    made.control()
    numbered(made, ONE, 1)
    numbered(made, TWO, 2)
    made.commit()
    return made


def told(work: Work, *below: str, new_since: str | None = None) -> tuple[int, dict[str, str]]:
    """Return the number of plants that were checked and what could not be read, by path from the portfolio's folder."""
    paths = [work.folder / one for one in below] or [work.folder]
    report = Estate(work.folder, AS_OF).check(paths, new_since=new_since)
    start = f"{work.folder.as_posix()}/"
    assert report.exit_status(None) == (2 if report.problems else 0)
    return len(report.results), {one.file.removeprefix(start): one.message for one in report.problems}


def deleted(work: Work) -> None:
    (work.folder / TWO).unlink()


def deleted_by_git(work: Work) -> None:
    work.git("rm", "-q", TWO)


def site_deleted(work: Work) -> None:
    shutil.rmtree(work.folder / "sites" / "two")


def sparse(work: Work) -> None:
    work.git("sparse-checkout", "set", "--no-cone", "/*", "!/sites/two/")


def ignored_in_place_of(work: Work) -> None:
    """Leave an archive in place of the plant, which is certainly no profile."""
    (work.folder / TWO).rename(work.folder / "sites/two/boiler-1.zip")


def under_another_name(work: Work) -> None:
    deleted(work)
    numbered(work, "sites/two/other.toml", 3)


@pytest.mark.parametrize(
    "do", [deleted, deleted_by_git, site_deleted, sparse, ignored_in_place_of, under_another_name],
    ids=lambda do: do.__name__,
)  # fmt: skip
def test_what_is_in_the_last_commit_and_not_here_is_said(work: Work, do: Callable[[Work], None]) -> None:
    assert told(work) == (2, {})
    do(work)
    assert told(work) == (1 + (do is under_another_name), {TWO: lost.GONE})


def test_once_that_is_committed_it_is_no_news(work: Work) -> None:
    deleted(work)
    work.commit("taken out")
    assert told(work) == (1, {})


def test_what_is_new_since_a_revision_names_the_plant_that_is_gone_already(work: Work) -> None:
    deleted(work)
    assert told(work, new_since="HEAD") == (1, {})
    (gone,) = Estate(work.folder, AS_OF).check(new_since="HEAD").gone
    assert gone.plant == "Boiler 2"


def test_but_not_one_that_the_revision_did_not_have(work: Work) -> None:
    numbered(work, "sites/three/boiler-1.toml", 3)
    work.commit()
    (work.folder / "sites/three/boiler-1.toml").unlink()
    assert told(work, new_since="HEAD~1") == (2, {"sites/three/boiler-1.toml": lost.GONE})


@pytest.mark.parametrize("to", ["sites/two/boiler-01.toml", "sites/three/boiler-1.toml", "sites/b.toml"])
def test_a_plant_that_moved_is_not_lost(work: Work, to: str) -> None:
    (work.folder / to).parent.mkdir(exist_ok=True)
    (work.folder / TWO).rename(work.folder / to)
    assert told(work) == (2, {})


def test_one_whose_place_is_named_already_is_said_once(work: Work) -> None:
    (work.folder / TWO).rename(work.folder / "sites/two/boiler-1.TOML")
    (work.folder / "sites/one").rename(work.folder / "store")
    (work.folder / "sites/one").symlink_to("../store")
    assert told(work)[1].keys() == {"sites/two/boiler-1.TOML", "sites/one", "store"}


def test_a_part_says_only_what_is_gone_below_it(work: Work) -> None:
    deleted(work)
    assert told(work, "sites/one") == (1, {})
    assert told(work, ONE) == (1, {})
    assert told(work, "sites/two", "sites/one") == (1, {TWO: lost.GONE})
    assert told(work, "sites") == (1, {TWO: lost.GONE})


def test_a_site_whose_name_begins_alike_is_another(work: Work) -> None:
    numbered(work, "sites/one-more/boiler-1.toml", 3)
    work.commit()
    (work.folder / "sites/one-more/boiler-1.toml").unlink()
    assert told(work, "sites/one") == (1, {})


def test_a_portfolio_in_a_folder_of_its_repository(work: Work) -> None:
    (work.folder / "boilers").mkdir()
    work.git("mv", "portfolio.toml", "controls", "sites", "boilers")
    numbered(work, "sites/elsewhere/boiler-1.toml", 3)
    work.commit()
    shutil.rmtree(work.folder / "sites")
    work.folder = work.folder / "boilers"
    assert told(work) == (2, {})
    deleted(work)
    assert told(work) == (1, {TWO: lost.GONE})


def test_a_site_that_is_a_submodule_and_is_not_here(work: Work, tmp_path: Path) -> None:
    site = Work(tmp_path / "site")
    numbered(site, "boiler-1.toml", 3)
    site.commit()
    work.git("-c", "protocol.file.allow=always", "submodule", "add", "-q", str(site.folder), "sites/three")
    work.commit()
    assert told(work) == (3, {})
    work.git("submodule", "deinit", "-q", "-f", "sites/three")
    assert told(work) == (2, {"sites/three": lost.BEHIND})
    (work.folder / "sites/three").rmdir()
    assert told(work) == (2, {"sites/three": lost.BEHIND})


def test_a_link_that_a_disk_without_links_makes_a_file_of(work: Work) -> None:
    (work.folder / "sites/one").rename(work.folder / "store")
    (work.folder / "sites/one").symlink_to("../store")
    work.commit()
    assert told(work)[1]["sites/one"] == strangers.LINK
    (work.folder / "sites/one").unlink()
    (work.folder / "sites/one").write_text("../store", encoding="utf-8")
    assert told(work)[1]["sites/one"] == lost.BEHIND


def test_without_git_or_a_commit_nothing_is_tracked(work: Work, tmp_path: Path) -> None:
    deleted(work)
    shutil.copytree(work.folder, tmp_path / "copy", ignore=shutil.ignore_patterns(".git"))
    assert not Estate(tmp_path / "copy", AS_OF).check().problems
    Work(tmp_path / "copy")
    assert not Estate(tmp_path / "copy", AS_OF).check().problems


UNDER_ANOTHER_NAME: Final = (
    "sites/two/boiler-1.md", "sites/two/boiler-1.json", "sites/two/boiler-1.pdf", "sites/two/.settingslint-a1b2",
    "sites/two/boiler-1.bak", "boiler-1.csv", "docs/boiler-1.log", "sites/one/boiler-1.toml~", "controls/boiler-1.txt",
    ".venv/boiler-1.toml", "node_modules/two/boiler-1.md", ".git-plants/boiler-1.yaml", "sites/__pycache__/b.pyc",
)  # fmt: skip


@pytest.mark.parametrize("to", UNDER_ANOTHER_NAME)
def test_a_plant_that_git_tracks_under_whatever_name_is_said(work: Work, to: str) -> None:
    """Committed under a name that certainly is no profile's, or where programs keep their own."""
    (work.folder / to).parent.mkdir(parents=True, exist_ok=True)
    work.git("mv", TWO, to)
    work.commit("put away")
    (read, problems) = told(work)
    assert read == 1 and len(problems) == 1
    assert to.startswith(next(iter(problems))), "itself, or the folder that it is in"


def test_one_that_does_not_parse_is_said_as_well(work: Work) -> None:
    work.write("sites/two/notes.md", "# kept\nformat = 1\n[plant]\nname = Boiler 2\n")
    work.commit()
    assert told(work) == (2, {"sites/two/notes.md": lost.UNDER})


def test_in_a_portfolio_without_sites_what_programs_fill_is_looked_into_too(work: Work) -> None:
    work.git("mv", ONE, "boiler-1.toml")
    (work.folder / "node_modules").mkdir()
    work.git("mv", TWO, "node_modules/boiler-2.toml")
    shutil.rmtree(work.folder / "sites", ignore_errors=True)
    work.commit()
    assert told(work) == (1, {"node_modules/boiler-2.toml": lost.UNDER})


def test_what_git_does_not_track_and_what_is_no_plant_is_no_news(work: Work) -> None:
    work.write("README.md", "# Boilers\n\nA profile begins with\n\n[plant]\nname = 'B'\n")
    work.write("sites/two/boiler-1.toml~", (work.folder / TWO).read_text(encoding="utf-8"))
    work.write("sites/two/plan.pdf", "%PDF-1.7 \0 [plant]\n")
    work.write("pyproject.toml", "[project]\nname = 'x'\n")
    work.commit()
    (work.folder / ".venv").mkdir()
    shutil.copy(work.folder / TWO, work.folder / ".venv/boiler.toml")
    numbered(work, ".venv/other.toml", 9)
    assert told(work) == (2, {})


def test_of_a_part_only_what_lies_below_it_is_looked_into(work: Work) -> None:
    work.git("mv", TWO, "sites/two/boiler-1.md")
    work.commit()
    assert told(work, "sites/one") == (1, {})
    assert told(work, "sites/one", "sites/two") == (1, {"sites/two/boiler-1.md": lost.UNDER})

"""`settingslint sheet` as people run it, and the commit that it prints."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from settingslint.history.stamp import stamps
from tests.history.kit import ENVIRONMENT, Work, started

PROFILE = "sites/mill/boiler-1.toml"
OTHER = "sites/mill/boiler-2.toml"


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def run(folder: Path, *words: str) -> tuple[int, str, str]:
    root = Path(__file__).parents[2]
    ended = subprocess.run(
        [sys.executable, "-m", "settingslint", "sheet", *words], cwd=folder, capture_output=True, check=False,
        env={**os.environ, **ENVIRONMENT, "PYTHONPATH": str(root)},
    )  # fmt: skip
    return ended.returncode, ended.stdout.decode(), ended.stderr.decode()


def test_the_stamp_says_which_state_is_shown(work: Work, tmp_path: Path) -> None:
    path, other = work.folder / PROFILE, work.profile(OTHER)
    short = work.git("rev-parse", "HEAD")[:10]
    assert stamps(work.folder, [path, other]) == [f"commit {short}", "in no commit yet"]
    path.write_text(path.read_text() + "# more\n")
    assert stamps(work.folder, [path]) == [f"commit {short}, with changes that are not committed"]
    outside = tmp_path / "outside"
    outside.mkdir()
    assert stamps(outside, [outside / "x.toml"]) == ["not under version control"]
    empty = Work(tmp_path / "empty")
    assert stamps(empty.folder, [empty.profile()]) == ["in no commit yet"]


def test_all_plants_of_a_folder_in_one_file(work: Work, tmp_path: Path) -> None:
    work.profile(OTHER, {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    short = work.git("rev-parse", "HEAD")[:10]
    status, out, err = run(work.folder, ".", "--to", str(tmp_path / "sheets.html"))
    assert (status, out, err) == (0, f"2 plants, visit, html: {tmp_path / 'sheets.html'}\n", "")
    text = (tmp_path / "sheets.html").read_text()
    assert text.count("<article") == 2
    assert f"commit {short}; uncontrolled when printed" in text
    assert "in no commit yet; uncontrolled when printed" in text
    assert "size: letter" in text  # a plant in US units; --paper says otherwise
    assert "size: A4" in run(work.folder, PROFILE, "--paper", "a4")[1]


@pytest.mark.parametrize(("kind", "title"), [("as-left", "As-left record"), ("handover", "For the people in the")])
def test_the_other_papers(work: Work, kind: str, title: str) -> None:
    status, out, _ = run(work.folder, PROFILE, "--kind", kind, "--form", "markdown")
    assert status == 0
    assert out.startswith(f"# {title}")


def test_what_is_refused(work: Work) -> None:
    assert run(work.folder, PROFILE, "--kind", "poster")[::2] == (
        2, "settingslint: --kind poster: there are visit, as-left, handover\n",
    )  # fmt: skip
    assert run(work.folder, PROFILE, "--form", "csv", "--kind", "handover")[0] == 2
    assert run(work.folder, PROFILE, "--paper", "a3")[0] == 2
    work.write(OTHER, "nonsense\n")
    status, out, err = run(work.folder, ".", "--form", "markdown")
    assert status == 2
    assert out.startswith("# Visit sheet")  # the plants that can be read have their sheets
    assert err.startswith(f"{OTHER}:1:")


def test_the_list_to_fill_in_is_of_one_boiler(work: Work) -> None:
    assert run(work.folder, ".", "--form", "csv")[0] == 0
    work.profile(OTHER, {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    assert run(work.folder, ".", "--form", "csv") == (
        2, "", "settingslint: --form csv is for one boiler, and 2 profiles are there: name one\n",
    )  # fmt: skip


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_no_page_on_a_terminal(work: Work) -> None:
    from tests.history.test_visit_command import on_terminal

    status, shown = on_terminal(work, ["sheet", PROFILE], [])
    assert (status, shown.strip()) == (2, "settingslint: html needs a file: name one with --to")

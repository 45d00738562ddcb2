"""Every entry below a portfolio's folder is a plant, known to hold none, or said: nothing is passed over.

Each case takes one plant of a portfolio out of the way of the check, as people, programs and disks do.
"""

from __future__ import annotations

import builtins
import os
import shutil
import subprocess
import unicodedata
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from typer.testing import CliRunner

from settingslint.checking.check import check
from settingslint.checking.report import Report
from settingslint.cli import app
from settingslint.files import finding, strangers
from settingslint.files.finding import found, profile_files
from settingslint.starter.example import write_example
from settingslint.starter.new import starting_files, write_files

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
SITE: Final = "sites/pump-house"
FILE: Final = f"{SITE}/boiler-1.toml"
OTHER: Final = "sites/harbour-rooms/boiler-1.toml"
SITES: Final = {"latin": "sites", "cyrillic i": "s\N{CYRILLIC SMALL LETTER BYELORUSSIAN-UKRAINIAN I}tes"}


def portfolio(folder: Path) -> Path:
    """Make a portfolio of two plants."""
    for name in (FILE, OTHER):
        (folder / name).parent.mkdir(parents=True)
        shutil.copy(HOME / name, folder / name)
    shutil.copytree(HOME / "controls", folder / "controls")
    (folder / "portfolio.toml").write_text('format = 1\nname = "Estate"\n', encoding="utf-8")
    return folder


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    return portfolio(tmp_path / "estate")


def told(report: Report, estate: Path) -> dict[str, str]:
    """Return what a report can't read, by path from the portfolio's folder."""
    start = f"{estate.as_posix()}/"
    assert all(one.file.startswith(start) for one in report.problems)
    return {one.file.removeprefix(start): one.message for one in report.problems}


def move(old: str, new: str) -> Callable[[Path], None]:
    """Return what moves an entry."""

    def do(folder: Path) -> None:
        (folder / new).parent.mkdir(parents=True, exist_ok=True)
        (folder / old).rename(folder / new)

    return do


def link(old: str, new: str, to: str, place: str = "") -> Callable[[Path], None]:
    """Return what moves an entry and puts a link in its place, or in another."""

    def do(folder: Path) -> None:
        move(old, new)(folder)
        (folder / (place or old)).parent.mkdir(exist_ok=True)
        (folder / (place or old)).symlink_to(to)

    return do


def emptied(name: str) -> Callable[[Path], None]:
    def do(folder: Path) -> None:
        (folder / FILE).unlink()
        (folder / name).touch()

    return do


def folder_instead(folder: Path) -> None:
    (folder / FILE).unlink()
    (folder / FILE).mkdir()


def fifo(name: str) -> Callable[[Path], None]:
    def do(folder: Path) -> None:
        (folder / FILE).unlink()
        os.mkfifo(folder / name)

    return do


def wide(folder: Path) -> None:
    text = (folder / FILE).read_text(encoding="utf-8")
    (folder / FILE).unlink()
    (folder / SITE / "boiler-1.txt").write_bytes(text.encode("utf-16"))


def nested(where: str) -> Callable[[Path], None]:
    def do(folder: Path) -> None:
        move(SITE, f"{where}/sites/pump-house")(folder)
        (folder / where / "portfolio.toml").write_text('format = 1\nname = "North"\n', encoding="utf-8")

    return do


PASSED_OVER: Final[dict[str, tuple[Callable[[Path], None], str, str]]] = {
    # links
    "a site folder that is a link inside": (link(SITE, "store/p", "../store/p"), SITE, strangers.LINK),
    "a site folder that is a link out": (link(SITE, "../p", "../../p"), SITE, strangers.LINK),
    "a site folder that is a link by its full path": (
        lambda folder: link(SITE, "store/p", str(folder / "store/p"))(folder), SITE, strangers.LINK,
    ),
    "sites itself is a link": (link("sites", "store", "store"), "sites", strangers.LINK),
    "a folder two levels deep that is a link": (
        link(SITE, "store/p", "../../store/p", "sites/north/p"), "sites/north/p", strangers.LINK,
    ),
    "a link with no ending": (link(FILE, "store/b", "../../store/b", f"{SITE}/b"), f"{SITE}/b", strangers.LINK),
    "a link that leads nowhere": (link(SITE, "../p", "nowhere"), SITE, strangers.BROKEN),
    "links in a circle": (link(SITE, "../p", "pump-house"), SITE, strangers.BROKEN),
    "a link to the folder that it lies in": (link(FILE, "../b", "."), FILE, "is a folder"),
    "a profile that is a link out": (link(FILE, "../b.toml", "../../../b.toml"), FILE, "out of the portfolio"),
    "a folder beside sites that is a link": (link(SITE, "../p", "../p", "pump-house"), "pump-house", strangers.LINK),
    # names
    "capitals": (move(FILE, f"{SITE}/boiler-1.TOML"), f"{SITE}/boiler-1.TOML", strangers.ALMOST),
    "some capitals": (move(FILE, f"{SITE}/boiler-1.Toml"), f"{SITE}/boiler-1.Toml", strangers.ALMOST),
    "a blank behind": (move(FILE, f"{FILE} "), f"{FILE} ", strangers.ALMOST),
    "a point behind": (move(FILE, f"{FILE}."), f"{FILE}.", strangers.ALMOST),
    "wide letters": (
        move(FILE, f"{SITE}/boiler-1.\uff54\uff4f\uff4d\uff4c"), f"{SITE}/boiler-1.\uff54\uff4f\uff4d\uff4c",
        strangers.ALMOST,
    ),
    "a Greek o": (
        move(FILE, f"{SITE}/boiler-1.t\u03bfml"), f"{SITE}/boiler-1.t\u03bfml", strangers.NOT_NAMED,
    ),
    "an ending that the editor added": (move(FILE, f"{FILE}.txt"), f"{FILE}.txt", strangers.ALMOST),
    "packed": (move(FILE, f"{FILE}.gz"), f"{FILE}.gz", strangers.ALMOST),
    "no ending": (move(FILE, f"{SITE}/boiler-1"), f"{SITE}/boiler-1", strangers.NOT_NAMED),
    "another ending": (move(FILE, f"{SITE}/boiler-1.conf"), f"{SITE}/boiler-1.conf", strangers.NOT_NAMED),
    "text of two bytes a letter": (wide, f"{SITE}/boiler-1.txt", strangers.NOT_NAMED),
    "an editor's copy without what it is of": (move(FILE, f"{FILE}~"), f"{FILE}~", strangers.NOT_NAMED),
    "a backup without what it is of": (move(FILE, f"{FILE}.bak"), f"{FILE}.bak", strangers.ALMOST),
    "a hidden file": (move(FILE, f"{SITE}/.boiler-1.toml"), f"{SITE}/.boiler-1.toml", strangers.HIDDEN),
    "nothing but the ending": (move(FILE, f"{SITE}/.toml"), f"{SITE}/.toml", strangers.NOT_NAMED),
    "portfolio.toml": (move(FILE, f"{SITE}/portfolio.toml"), f"{SITE}/portfolio.toml", strangers.NOT_HERE),
    "portfolio.toml in sites": (move(FILE, "sites/portfolio.toml"), "sites/portfolio.toml", strangers.NOT_HERE),
    "an empty profile": (emptied(FILE), FILE, "lacks"),
    "an empty file with capitals": (emptied(f"{SITE}/b.TOML"), f"{SITE}/b.TOML", strangers.ALMOST),
    # places
    "a site beside sites": (move(SITE, "pump-house"), "pump-house", "a profile is in it, boiler-1.toml"),
    "a profile beside sites": (move(FILE, "boiler-1.toml"), "boiler-1.toml", strangers.ELSEWHERE),
    "Sites beside sites": (move(SITE, "Sites/pump-house"), "Sites", "a profile is in it, pump-house/boiler-1.toml"),
    "a look-alike beside sites": (move(SITE, f"{SITES['cyrillic i']}/p"), SITES["cyrillic i"], "p/boiler-1.toml"),
    "sites with a blank behind": (move(SITE, "sites /p"), "sites ", "p/boiler-1.toml"),
    "far down beside sites": (move(SITE, "a/b/c/d/e"), "a", "a profile is in it, b/c/d/e/boiler-1.toml"),
    "a hidden folder beside sites": (move(SITE, ".store/p"), ".store", "a profile is in it, p/boiler-1.toml"),
    "a hidden folder in sites": (move(SITE, "sites/.p"), "sites/.p", "a profile is in it, boiler-1.toml"),
    "a folder of a program in sites": (move(SITE, "sites/.git/p"), "sites/.git", "p/boiler-1.toml"),
    "a hidden folder in a site": (move(FILE, f"{SITE}/.p/b"), f"{SITE}/.p", "a profile is in it, b"),
    "among the controls": (move(FILE, "controls/boiler-1.toml"), "controls/boiler-1.toml", strangers.ELSEWHERE),
    "in a folder among the controls": (move(SITE, "controls/p"), "controls/p", "a profile is in it, boiler-1.toml"),
    "in a folder of a program in a hidden one": (move(SITE, "sites/.p/.venv"), "sites/.p", ".venv/boiler-1.toml"),
    "a profile with the ending of a note beside sites": (
        move(FILE, "boiler-1.toml.md"), "boiler-1.toml.md", strangers.ELSEWHERE,
    ),
    "a portfolio in the portfolio": (nested("sites/north"), "sites/north", strangers.NESTED),
    "a portfolio beside sites": (nested("north"), "north", strangers.NESTED),
    "a portfolio far down beside sites": (nested("a/b/north"), "a", f"b/north: {strangers.NESTED}"),
    # what is no file
    "a folder with the name of a profile": (folder_instead, FILE, strangers.A_FOLDER),
    "a pipe": (fifo(FILE), FILE, "is not a file"),
    "a pipe with another name": (fifo(f"{SITE}/pipe"), f"{SITE}/pipe", strangers.NO_FILE),
}  # fmt: skip


@pytest.mark.parametrize("case", PASSED_OVER)
def test_what_was_passed_over_is_said(estate: Path, case: str) -> None:
    do, place, words = PASSED_OVER[case]
    do(estate)
    report = check([estate], AS_OF)
    said = told(report, estate)
    assert words in said.pop(place)
    assert report.exit_status(None) == 2
    assert [result.path for result in report.results] == [(estate / OTHER).as_posix()] * (place != "sites")
    assert not said or list(said) == ["store"]  # where the plant of a link lies


def test_a_link_with_the_ending_of_a_picture_may_lead_to_a_site(estate: Path) -> None:
    (estate / "sites" / "front.jpg").symlink_to("pump-house")
    assert told(check([estate], AS_OF), estate) == {"sites/front.jpg": strangers.LINK}


def test_a_profile_that_is_a_link_inside_is_read_and_its_other_place_said(estate: Path) -> None:
    link(FILE, "store/b", "../../store/b")(estate)
    report = check([estate], AS_OF)
    assert len(report.results) == 2 and list(told(report, estate)) == ["store"]


def test_a_profile_in_a_folder_with_the_name_of_one_is_read_and_the_folder_said(estate: Path) -> None:
    (estate / FILE).rename(estate / "b")
    (estate / FILE).mkdir()
    (estate / "b").rename(estate / FILE / "b.toml")
    report = check([estate], AS_OF)
    assert len(report.results) == 2 and told(report, estate) == {FILE: strangers.A_FOLDER}


@pytest.mark.parametrize("deep", ["sites/north/pump-house", "sites/a/b/c/d", "sites", "sites/sites", "sites/controls"])
def test_wherever_below_sites_a_plant_lies_it_is_read(estate: Path, deep: str) -> None:
    move(FILE, f"{deep}/another.toml")(estate)
    report = check([estate], AS_OF)
    assert len(report.results) == 2 and not report.problems


def test_a_site_with_a_folder_sites_is_read_whole(estate: Path) -> None:
    move(FILE, "sites/harbour-rooms/sites/boiler-2.toml")(estate)
    for part in ("", "sites", "sites/harbour-rooms"):
        report = check([estate / part], AS_OF)
        assert len(report.results) == 2 and not report.problems


@pytest.mark.parametrize("name", ["Sites", SITES["cyrillic i"], "buildings"])
def test_without_a_folder_sites_plants_are_read_wherever_they_lie(estate: Path, name: str) -> None:
    (estate / "sites").rename(estate / name)
    report = check([estate], AS_OF)
    assert len(report.results) == 2 and not report.problems


NO_NEWS: Final = {
    "notes.md": b"[plant]\n", "photo.JPG": b"\xff\xd8", "drawing.pdf": b"%PDF", "readings.csv": b"a,b\n",
    "trend.dat": b"\0\1\2 plant", "notes.txt": b"The plant.\nplant. And so on\n[plants]\n", "Thumbs.db": b"x",
    "boiler-1.toml~": b"[plant]\n", "boiler-1.toml.bak": b"[plant]\n", ".boiler-1.toml.swp": b"b0VIM [plant]\n",
    "._boiler-1.toml": b"\0\5\x16\7", "#boiler-1.toml#": b"[plant]\n", "boiler-1.toml.orig": b"[plant]\n",
    "~$plants.xlsx": b"x", ".~lock.plants.ods#": b"x", ".DS_Store": b"\0\0\0\1Bud1", ".gitkeep": b"",
    ".settingslint-0123456789abcdef": b"[plant]\n", "empty": b"", "plants.ods": b"PK", "note": b"seen on 3 May",
}  # fmt: skip
TOP: Final = {
    "README": b"x", "README.md": b"```\n[plant]\n```", "LICENSE": b"x", ".gitignore": b"x\n",
    ".pre-commit-config.yaml": b"x",
    ".ci/check": b"#!/bin/sh\n", ".github/workflows/check.yml": b"x", "schemas/profile.schema.json": b"{}",
    "climate/town.epw": b"LOCATION", "standards/house.toml": b"format = 1\n", "pages/plants/a.html": b"[plant]\n",
    "pyproject.toml": b"[project]\n", "visit.toml": b'serial = "A"\n[visit]\nby = "x"\n', "Makefile": b"check:\n",
    "map.toml": b'[columns]\n"Site" = "plant.site"\n', ".venv/lib/x.toml": b"[plant]\n", "findings.sarif": b"{}",
    "src/.venv/plant.toml": b"[plant]\n", "old/notes.txt": b"x", "controls/README.md": b"x",
}  # fmt: skip


def test_what_certainly_is_no_plant_is_no_news(estate: Path) -> None:
    for place, files in ((SITE, NO_NEWS), (".", NO_NEWS), (f"{SITE}/papers", NO_NEWS), (".", TOP)):
        for name, content in files.items():
            if place == "." and "boiler-1" in name:
                continue  # a copy beside nothing
            if place.endswith("papers") and "boiler-1" in name:
                continue
            (estate / place / name).parent.mkdir(parents=True, exist_ok=True)
            (estate / place / name).write_bytes(content)
    (estate / SITE / "photo.png").symlink_to("photo.JPG")
    (estate / SITE / ".#boiler-1.toml").symlink_to("somebody@somewhere.4711:1795600000")
    (estate / "NOTES").symlink_to("README")
    assert found(estate).unread == []
    assert check([estate], AS_OF).problems == ()


def test_the_example_and_new_portfolios_hold_nothing_else(tmp_path: Path) -> None:
    assert found(HOME).unread == []
    (tmp_path / "example").mkdir()
    write_example(tmp_path / "example")
    assert found(tmp_path / "example").unread == []
    for system in ("us", "metric"):
        write_files(tmp_path / system, starting_files(AS_OF, "us" if system == "us" else "metric"))
        assert found(tmp_path / system).unread == []


def test_a_folder_that_nobody_may_look_into(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (estate / "sites" / ".closed").mkdir()
    (estate / "beside" / "closed").mkdir(parents=True)
    closed = {os.fspath(estate / one) for one in (SITE, "sites/.closed", "beside/closed")}
    real = os.scandir

    def scandir(path: str) -> object:
        if os.fspath(path) in closed:
            raise PermissionError(13, "Permission denied", path)
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    report = check([estate], AS_OF)
    assert told(report, estate) == {
        SITE: "can't be looked into: Permission denied",
        "sites/.closed": "can't be looked into: Permission denied",
        "beside": "closed: can't be looked into: Permission denied",
    }
    assert len(report.results) == 1


def test_a_file_that_nobody_may_look_into(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (estate / SITE / "unknown").write_bytes(b"x")
    real = os.open

    def denied(path: str, flags: int, mode: int = 0o777, **more: int) -> int:
        if os.fspath(path).endswith("unknown"):
            raise PermissionError(13, "Permission denied", path)
        return real(path, flags, mode, **more)

    monkeypatch.setattr(os, "open", denied)
    assert told(check([estate], AS_OF), estate) == {f"{SITE}/unknown": "can't be looked into: Permission denied"}


def test_a_chain_of_folders_as_deep_as_a_disk_holds_is_no_fault(estate: Path) -> None:
    here = os.open(estate / "sites", os.O_RDONLY)
    deep = estate / "sites" / "d"
    for _ in range(1500):
        os.mkdir("d", dir_fd=here)
        deeper = os.open("d", os.O_RDONLY, dir_fd=here)
        os.close(here)
        here = deeper
    os.close(here)
    try:
        assert len(profile_files(estate)) == 2
        deep = deep.rename(estate / "d")
        assert found(estate).unread == []
    finally:
        subprocess.run(["rm", "-r", os.fspath(deep)], check=True)  # shutil.rmtree can't


def test_nothing_is_read_through_a_link(estate: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    outside = portfolio(tmp_path / "outside")
    for place in ("sites/evil", "evil", "sites/.evil", f"{SITE}/evil", f"{SITE}/evil.txt", "controls/evil"):
        (estate / place).symlink_to(outside)
    (estate / f"{SITE}/evil.toml").symlink_to(outside / FILE)
    (estate / "controls" / "evil.toml").symlink_to(outside / "controls/example-a.toml")
    (estate / "x").mkdir()
    (estate / "x" / "evil").symlink_to(outside)
    opened: list[str] = []

    def noting(real: Callable[..., Any]) -> Callable[..., Any]:
        def note(path: object, *rest: object, **more: object) -> object:
            opened.append(os.path.realpath(path) if isinstance(path, (str, os.PathLike)) else "")
            return real(path, *rest, **more)

        return note

    for module, name in ((os, "open"), (os, "scandir"), (builtins, "open"), (Path, "open")):
        monkeypatch.setattr(module, name, noting(getattr(module, name)))
    report = check([estate], AS_OF)
    monkeypatch.undo()
    assert len(report.results) == 2
    assert opened and not [path for path in opened if path.startswith(str(outside))]


def test_a_part_says_only_what_lies_below_it(estate: Path) -> None:
    (estate / "sites" / "harbour-rooms" / "b.TOML").touch()
    (estate / "stray.toml").write_bytes((estate / FILE).read_bytes())
    assert not check([estate / SITE], AS_OF).problems
    assert not check([estate / "sites/harbour-rooms/boiler-1.toml"], AS_OF).problems
    assert list(told(check([estate / "sites/harbour-rooms"], AS_OF), estate)) == ["sites/harbour-rooms/b.TOML"]
    assert list(told(check([estate / "sites"], AS_OF), estate)) == ["sites/harbour-rooms/b.TOML"]
    assert list(told(check([estate], AS_OF), estate)) == ["sites/harbour-rooms/b.TOML", "stray.toml"]


def test_a_site_with_something_unread_is_not_seen_whole(estate: Path) -> None:
    def lacks() -> set[str]:
        (one,) = check([estate / SITE], AS_OF).results
        return {lack.rule for lack in one.not_checked if "site" in lack.needs}

    before = lacks()
    (estate / SITE / "boiler-2.TOML").touch()
    assert lacks() - before


def test_a_control_file_that_nobody_names_is_read_too(estate: Path) -> None:
    (estate / "controls" / "unused.toml").write_text("format = ", encoding="utf-8")
    assert "not TOML" in told(check([estate], AS_OF), estate)["controls/unused.toml"]
    assert not check([estate / SITE], AS_OF).problems


@pytest.mark.parametrize("command", [("export",), ("sheet", "--form", "markdown"), ("report", "--to", "pages")])
def test_tables_and_papers_say_it_too(estate: Path, command: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(estate)
    assert CliRunner().invoke(app((command[0].replace("-", "_"),)), [command[0], ".", *command[1:]]).exit_code == 0
    move(FILE, f"{SITE}/boiler-1.TOML")(estate)
    result = CliRunner().invoke(app((command[0].replace("-", "_"),)), [command[0], ".", *command[1:]])
    assert result.exit_code == 2
    assert f"{SITE}/boiler-1.TOML:1:1: unreadable: not read" in result.output


NAMES: Final = st.one_of(
    st.sampled_from(
        ["boiler-1.toml", "b.TOML", ".toml", "b", "b.toml.", "portfolio.toml", "b.tom\u217c", "sites", "b.cfg"]
    ),
    st.text(st.characters(blacklist_characters="/\0", blacklist_categories=["Cs"]), min_size=1, max_size=12),
)
FOLDERS: Final = st.lists(
    st.one_of(
        st.sampled_from(
            ["sites", "controls", ".git", "schemas", ".x", "Sites", "x.toml", "x.jpg", "standards", "pages"]
        ),
        st.text("ab.~# T\u00e9", min_size=1, max_size=4),
    ).filter(lambda name: name not in (".", "..")),
    max_size=3,
)


@given(folders=FOLDERS, name=NAMES, start=st.sampled_from([".", "sites", SITE]))
@example(folders=["controls"], name="x", start=".")
@example(folders=[".a"], name="b.toml", start="sites")
@example(folders=[], name=".#.", start=".")
def test_wherever_and_however_named_a_profile_is_read_or_said(
    tmp_path_factory: pytest.TempPathFactory, folders: list[str], name: str, start: str
) -> None:
    folder = portfolio(tmp_path_factory.mktemp("any"))
    target = Path(folder, start, *folders, name)
    beside = start == "." and folders[:1] != ["sites"]
    known = beside and not strangers.OF_PROGRAMS.isdisjoint([*folders, name])
    known = known or name.rpartition(".")[2].casefold() in " ".join(strangers.NEVER_PLANTS.values()).split()
    known = known or name in (".", "..") or name.startswith(strangers.OWN) or len(name.encode()) > 200
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if known or target.exists():
            return
        shutil.copy(folder / FILE, target)
    except (OSError, ValueError):
        return
    there = found(folder)
    read = target in there.profiles
    said = any(target.is_relative_to(one.path) for one in there.unread)
    assert read or said, unicodedata.normalize("NFC", str(target))
    shutil.rmtree(folder)


def test_each_folder_is_listed_once(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    listed: list[str] = []
    real = os.scandir
    monkeypatch.setattr(os, "scandir", lambda path: listed.append(os.fspath(path)) or real(path))  # type: ignore[func-returns-value]
    assert finding.profile_files(estate)
    assert sorted(listed) == sorted(
        os.fspath(estate / one) for one in (".", "controls", "sites", SITE, "sites/harbour-rooms")
    )


def test_a_folder_that_is_no_portfolio_is_not_walked_to_its_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It may be a whole disk: that is said, and no file in it is opened."""
    monkeypatch.setattr(finding, "MOST_OUTSIDE", 50)
    for number in range(60):
        (tmp_path / f"folder-{number}").mkdir()
        (tmp_path / f"folder-{number}/notes").write_text("[plant]", encoding="utf-8")
    assert [one.why for one in found(tmp_path).unread] == [finding.NO_PORTFOLIO]
    assert not found(tmp_path).profiles
    for name in (finding.CONTROLS, finding.SITES):
        (tmp_path / name).mkdir()
        assert finding.NO_PORTFOLIO not in {one.why for one in found(tmp_path).unread}
        (tmp_path / name).rmdir()
    (tmp_path / "portfolio.toml").touch()
    assert finding.NO_PORTFOLIO not in {one.why for one in found(tmp_path / "folder-1").unread}


def test_a_hidden_folder_outside_of_a_portfolio_is_not_walked_to_its_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding, "MOST_OUTSIDE", 50)
    (tmp_path / ".cache").mkdir()
    (tmp_path / "boiler-1.toml").write_text("[plant]", encoding="utf-8")
    for number in range(60):
        (tmp_path / f".cache/{number:02}").write_text("[plant]", encoding="utf-8")
    here = found(tmp_path)
    assert [path.name for path in here.profiles] == ["boiler-1.toml"]
    assert [one.why.partition(":")[0] for one in here.unread] == ["over 50 entries, and in no portfolio"]

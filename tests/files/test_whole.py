"""A repository that somebody cloned leads what is written nowhere else: attacks on every command that writes."""

from __future__ import annotations

import os
import pickle
import shutil
import socket
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking import check as checking
from settingslint.files import whole
from settingslint.files.whole import NotMeant, make_folder, put, put_bytes
from settingslint.plain import Plain, in_lines, plain
from tests.command import Said, run

if sys.platform == "win32":
    pytest.skip("needs links", allow_module_level=True)

HOME: Final = Path(__file__).parents[2] / "profiles"
PROFILE: Final = "sites/pump-house/boiler-1.toml"
OTHER: Final = "sites/harbour-rooms/boiler-1.toml"
CLIMATE: Final = "climate/synthetic-cool.csv"
TABLE: Final = "plant.site,plant.name,plant.control,heating_setpoint [F]\nEvil Site,B1,example-a,150\n"
DAY: Final = ("--as-of", "2026-11-28")
CHECK: Final = ("check", "sites/pump-house", *DAY, "--stop-at", "nothing", "--no-memory", "--form", "csv")


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """Return a portfolio of two plants under git, beside a folder of somebody's own."""
    folder = tmp_path / "clone"
    for name in (PROFILE, OTHER, "portfolio.toml", CLIMATE):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(HOME / name, folder / name)
    shutil.copytree(HOME / "controls", folder / "controls")
    (tmp_path / "table.csv").write_text(TABLE, encoding="utf-8")
    (tmp_path / "victim").mkdir()
    (tmp_path / "victim" / "file").write_text("precious\n", encoding="utf-8")
    (tmp_path / "victim" / "empty").mkdir()
    for words in (("init", "-q", "-b", "main"), ("add", "."), ("-c", "user.name=x", "-c", "user.email=x@example.org",
                  "commit", "-q", "-m", "first record")):  # fmt: skip
        subprocess.run(["git", *words], cwd=folder, check=True)
    return folder


def everything(folder: Path) -> dict[str, object]:
    """Return all that lies below a folder: what files hold, where links lead, what else there is."""
    found: dict[str, object] = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        found[name] = os.readlink(path) if path.is_symlink() else path.read_bytes() if path.is_file() else "else"
    return found


def refused(said: Said, why: str) -> None:
    assert said.status == 2, said
    assert why in said.err.splitlines()[-1], said
    assert said.err.splitlines()[-1].startswith("settingslint: can't ")


def unharmed(clone: Path, *words: str, why: str) -> None:
    """Assert that a command is refused and that everything is as it was."""
    before = everything(clone.parent)
    refused(run(clone, *words), why)
    assert everything(clone.parent) == before


# links ----------------------------------------------------------------------------------------------------------------

LINK: Final = "a symbolic link, and nothing is written through one"


def to_a_file(clone: Path) -> str:
    (clone / "findings.csv").symlink_to("../victim/file")
    return "findings.csv"


def to_nothing(clone: Path) -> str:
    (clone / "findings.csv").symlink_to("../victim/new")
    return "findings.csv"


def to_a_folder(clone: Path) -> str:
    (clone / "findings.csv").symlink_to("../victim")
    return "findings.csv"


def to_itself(clone: Path) -> str:
    (clone / "findings.csv").symlink_to("findings.csv")
    return "findings.csv"


def on_the_way(clone: Path) -> str:
    (clone / "out").symlink_to("../victim")
    return "out/file"


def in_the_middle(clone: Path) -> str:
    (clone / "out").symlink_to("../victim")
    return "out/empty/new.csv"


def over_a_link_and_back(clone: Path) -> str:
    (clone / "out").symlink_to("../victim/empty")
    return "out/../file"


def absolute(clone: Path) -> str:
    (clone / "out").symlink_to("../victim")
    return str(clone / "out" / "file")


def absolute_in_a_folder(clone: Path) -> str:
    (clone / "sites" / "out").symlink_to("../../victim")
    return str(clone / "sites" / "out" / "file")


def to_a_file_inside(clone: Path) -> str:
    (clone / "findings.csv").symlink_to(PROFILE)
    return "findings.csv"


def to_git(clone: Path) -> str:
    (clone / "out").symlink_to(".git")
    return "out/description"


def to_hooks(clone: Path) -> str:
    (clone / "findings.csv").symlink_to(".git/hooks/pre-commit")
    return "findings.csv"


LINKS: Final = (
    to_a_file, to_nothing, to_a_folder, to_itself, on_the_way, in_the_middle, over_a_link_and_back, absolute,
    absolute_in_a_folder, to_a_file_inside, to_git, to_hooks,
)  # fmt: skip


@pytest.mark.parametrize("made", LINKS)
def test_no_output_goes_through_a_link(clone: Path, made: Callable[[Path], str]) -> None:
    unharmed(clone, *CHECK, "--to", made(clone), why="a folder of git's own" if made is to_git else LINK)


@pytest.mark.parametrize(
    "words",
    [
        ("sheet", PROFILE, "--to", "findings.csv"), ("export", "--to", "findings.csv"),
        ("explain", "--form", "markdown", "--to", "findings.csv"), ("timeline", PROFILE, "--to", "findings.csv"),
        ("notes", "--to", "findings.csv"), (*CHECK, "--to", "findings.csv", "--form", "json", "--to", "other.json"),
        ("import", "../table.csv", "--units", "us", "--write-mapping", "findings.csv"),
    ],
)  # fmt: skip
def test_no_command_has_a_way_of_its_own(clone: Path, words: tuple[str, ...]) -> None:
    to_nothing(clone)
    unharmed(clone, *words, why=LINK)


def test_a_profile_that_is_a_link_is_not_written(clone: Path) -> None:
    (clone / PROFILE).rename(clone / "kept.toml")
    (clone / PROFILE).symlink_to("../../kept.toml")
    unharmed(clone, "calculate", PROFILE, "--write", why=LINK)


@pytest.mark.parametrize("name", ["sites/evil-site", "sites"])
def test_no_imported_profile_goes_through_a_link(clone: Path, name: str) -> None:
    if name == "sites":
        (clone / "sites").rename(clone / "other")
    (clone / name).symlink_to(clone.parent / "victim")
    unharmed(clone, "import", "../table.csv", "--into", ".", why=LINK)
    unharmed(clone, "import", "../table.csv", "--into", str(clone), why=LINK)


def test_a_link_in_place_of_an_imported_profile_stays(clone: Path) -> None:
    (clone / "sites" / "evil-site").mkdir()
    (clone / "sites" / "evil-site" / "b1.toml").symlink_to("../../../victim/new")
    unharmed(clone, "import", "../table.csv", "--into", ".", why="File exists")


ELSEWHERE: Final = "(an absolute path)"


@pytest.mark.parametrize(
    "site", ["..", "../..", ".git", ".GIT", ELSEWHERE, "...", "con", "a/../../..", "\u202e..", "-rf"]
)
def test_the_name_of_an_imported_site_is_no_path(clone: Path, site: str) -> None:
    site = site.replace(ELSEWHERE, str(clone.parent / "victim"))
    (clone.parent / "table.csv").write_text(TABLE.replace("Evil Site", site), encoding="utf-8")
    before = everything(clone.parent)
    said = run(clone, "import", "../table.csv", "--into", ".")
    new = [name for name in everything(clone.parent) if name not in before]
    assert all(name.startswith("clone/sites/") and ".git" not in name.casefold() for name in new), new
    assert said.status == 0 or not new


def test_a_new_control_does_not_go_through_a_link(clone: Path) -> None:
    shutil.move(clone / "controls", clone / "kept")
    (clone / "controls").symlink_to("../victim")
    answers = "one number\n\n\n" + "\n" * 8 + "yes\nBoiler\n" + "\n" * 2000
    before = everything(clone.parent)
    refused(run(clone, "begin", ".", "--control", "mine", given=answers), LINK)
    assert everything(clone.parent) == before


def test_a_new_portfolio_does_not_go_through_a_link(clone: Path) -> None:
    (clone / "new").symlink_to("../victim/empty")
    before = everything(clone.parent)
    for words in (
        ("begin", "new"),
        ("begin", "new", "--example"),
        ("begin", "new/deeper"),
        ("begin", str(clone / "new")),
    ):
        refused(run(clone, *words), LINK)
    assert everything(clone.parent) == before


def test_the_memory_does_not_go_through_a_link(clone: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A CI system keeps it inside the clone; what can't be remembered is worked out anew."""
    monkeypatch.setattr(checking, "FEWEST_REMEMBERED", 1)
    (clone / ".cache").symlink_to("../victim/empty")
    before = everything(clone.parent)
    said = run(clone, "check", *DAY, "--stop-at", "nothing", XDG_CACHE_HOME=str(clone / ".cache"))
    assert said.status == 2 and ".cache:1:1: unreadable: a link" in said.out  # the link is told, as any is
    assert everything(clone.parent) == before
    (clone / ".cache").unlink()
    run(clone, "check", *DAY, "--stop-at", "nothing", XDG_CACHE_HOME=str(clone / ".cache"))
    assert list(clone.glob(".cache/settingslint/*/*.memory"))


def test_a_link_above_what_was_named_is_the_user_s_own(clone: Path, tmp_path: Path) -> None:
    (tmp_path / "way").symlink_to(clone)
    (tmp_path / "mine").symlink_to(tmp_path / "victim")
    assert run(clone, *CHECK, "--to", str(tmp_path / "way" / "findings.csv")).status == 0
    assert (clone / "findings.csv").is_file()
    assert run(clone, *CHECK, "--to", str(tmp_path / "mine" / "findings.csv")).status == 0
    assert (tmp_path / "victim" / "findings.csv").is_file()
    assert run(tmp_path / "way", *CHECK, "--to", "again.csv").status == 0
    assert run(clone, "report", ".", "--to", str(tmp_path / "mine" / "pages"), *DAY).status == 0
    assert (tmp_path / "victim" / "pages" / "index.html").is_file()
    assert run(clone, "import", "../table.csv", "--into", str(tmp_path / "way")).status == 0


def test_somebody_puts_a_link_there_meanwhile(
    clone: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The folder that was opened is written in, whatever has its name by then; a link in the file's place goes."""
    monkeypatch.chdir(clone)
    (clone / "out").mkdir()
    real, victim = os.replace, clone.parent / "victim"

    def late(source: str, target: str, **more: int) -> None:
        (clone / "out" / "file").symlink_to(victim / "file")
        (clone / "out").rename(clone / "moved")
        (clone / "out").symlink_to(victim)
        real(source, target, **more)

    monkeypatch.setattr(os, "replace", late)
    put(Path("out/file"), plain("new"))
    assert (victim / "file").read_text() == "precious\n"
    assert sorted(victim.iterdir()) == [victim / "empty", victim / "file"]
    assert (clone / "moved" / "file").read_text() == "new" and not (clone / "moved" / "file").is_symlink()


def test_a_new_file_does_not_replace_what_comes_meanwhile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.link

    def late(*words: str, **more: bool) -> None:
        (tmp_path / "new").write_text("somebody's")
        real(*words, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "link", late)
    with pytest.raises(FileExistsError):
        put(tmp_path / "new", plain("ours"), new=True)
    assert everything(tmp_path) == {"new": b"somebody's"}

    def one_name_only(*_: str, **more: bool) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", one_name_only)
    put(tmp_path / "newer", plain("ours"), new=True)
    assert everything(tmp_path) == {"new": b"somebody's", "newer": b"ours"}


# git ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    [
        ".git/HEAD", ".git/new.csv", ".git/hooks/pre-commit", ".git", ".GIT/x.csv", ".Git", "new/../.git/HEAD",
        "sites/../.git/config", ".git./x", ".git /x", "git~1/x", ".g\u200cit/x", ".git::$INDEX_ALLOCATION/x",
        "sites/pump-house/.git", "./.git/refs/heads/main",
    ],
)  # fmt: skip
def test_nothing_is_written_in_git_s_own_folder(clone: Path, name: str) -> None:
    (clone / "new").mkdir()
    why = "not a name that a file can have" if Path(name).parent.name in ("", "pump-house") else "a folder of git's own"
    unharmed(clone, *CHECK, "--to", name, why=why)
    unharmed(clone, *CHECK, "--to", str(clone / name), why=why)


@pytest.mark.parametrize("words", [("report", ".", "--to"), ("begin",), ("import", "../table.csv", "--into")])
def test_no_folder_is_made_in_it(clone: Path, words: tuple[str, ...]) -> None:
    before = everything(clone.parent)
    for name in (".git/new", ".GIT", ".git/worktrees/x"):
        assert run(clone, *words, name).status == 2
    assert everything(clone.parent) == before


def test_nor_in_the_folder_of_another_work_tree_or_of_a_repository_that_stands_elsewhere(clone: Path) -> None:
    beside = clone.parent / "beside"
    for words in (("worktree", "add", "-q", str(beside)), ("clone", "-q", "--bare", ".", "../bare"),
                  ("clone", "-q", "--separate-git-dir", "../elsewhere", ".", "../second")):  # fmt: skip
        subprocess.run(["git", *words], cwd=clone, check=True)
    own = ".git/worktrees/beside/HEAD"
    why = "a folder of git's own"
    for place in ("../bare/x", "../bare/hooks/pre-commit", "../elsewhere/HEAD", "../elsewhere/refs/x", own):
        unharmed(clone, *CHECK, "--to", place, why=why)
    unharmed(beside, *CHECK, "--to", str(clone / own), why=why)
    unharmed(beside, *CHECK, "--to", ".git", why="not a name")
    (clone / "boilers" / "refs").mkdir(parents=True)
    (clone / "boilers" / "objects").mkdir()
    (clone / "boilers" / "HEAD").write_text("ref: refs/heads/main\n")
    unharmed(clone, *CHECK, "--to", "boilers/config", why=why)


def test_only_our_own_files_lie_there(clone: Path) -> None:
    git = clone / ".git"
    put(git / "settingslint-readings.toml", plain("x"), own=True)
    assert (git / "settingslint-readings.toml").read_text() == "x"
    for name in ("config", "hooks/settingslint-x/../pre-commit", "HEAD"):
        with pytest.raises(NotMeant, match="git's own"):
            put(git / name, plain("x"), own=True)
    with pytest.raises(NotMeant, match="git's own"):
        put(git / "settingslint-readings.toml", plain("x"))


# what this run reads --------------------------------------------------------------------------------------------------

READS: Final = "this run reads that file"
IS_TOML: Final = "a TOML file is there, and this is not one"


def by_another_name(clone: Path) -> str:
    os.link(clone / PROFILE, clone / "findings.csv")
    return "findings.csv"


@pytest.mark.parametrize(
    ("name", "why"),
    [
        (PROFILE, READS), (f"./sites/../{PROFILE}", READS), ("portfolio.toml", READS),
        ("controls/example-a.toml", READS),
        (CLIMATE, READS), (f"sites/pump-house/../../{CLIMATE}", READS), (by_another_name, READS), (OTHER, READS),
        ("controls/example-b.toml", IS_TOML), (Path.absolute, READS),
        ("sites/new.toml", "would be read as a profile"), ("controls/new.TOML", "would be read as a profile"),
    ],
)  # fmt: skip
def test_no_output_replaces_what_the_run_reads_or_another_profile(
    clone: Path, name: str | Callable[[Path], str | Path], why: str
) -> None:
    target = name if isinstance(name, str) else str(name(clone) if name is by_another_name else clone / PROFILE)
    unharmed(clone, *CHECK, "--to", target, why=why)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("sheet", PROFILE, "--to", PROFILE), READS), (("sheet", PROFILE, "--form", "csv", "--to", CLIMATE), READS),
        (("export", "--to", "portfolio.toml"), READS), (("export", "--to", OTHER), READS),
        (("explain", "--to", PROFILE), IS_TOML), (("timeline", PROFILE, "--to", PROFILE), READS),
        (("notes", "--to", "portfolio.toml"), ""), (("timeline", PROFILE, "--form", "json", "--to", OTHER), IS_TOML),
        (("check", PROFILE, "--form", "json", "--to", PROFILE, *DAY), READS),
        (("import", "../table.csv", "--units", "us", "--write-mapping", "../table.csv"), "nothing was changed"),
    ],
)  # fmt: skip
def test_nor_does_any_other_command(clone: Path, words: tuple[str, ...], why: str) -> None:
    before = everything(clone.parent)
    said = run(clone, *words)
    assert said.status == 2 and why in said.err, said
    assert everything(clone.parent) == before


def test_a_profile_read_through_a_link_is_not_replaced(clone: Path) -> None:
    (clone / PROFILE).rename(clone / "kept.txt")
    (clone / PROFILE).symlink_to("../../kept.txt")
    unharmed(clone, *CHECK, "--to", "kept.txt", why=READS)


# what is no file ------------------------------------------------------------------------------------------------------


def pipe(clone: Path) -> str:
    os.mkfifo(clone / "findings.csv")
    return "findings.csv"


def door(clone: Path) -> str:
    with socket.socket(socket.AF_UNIX) as made, pytest.MonkeyPatch.context() as patch:
        patch.chdir(clone)
        made.bind("findings.csv")
    return "findings.csv"


def device(clone: Path) -> str:
    """Make a device of our own; one of the system's is no target for a test of what keeps it from being replaced."""
    try:
        os.mknod(clone / "findings.csv", stat.S_IFCHR | 0o666, os.makedev(1, 3))
    except PermissionError:
        pytest.skip("only root makes devices")
    return "findings.csv"


@pytest.mark.parametrize(
    ("name", "why"),
    [(pipe, "not an ordinary file"), (door, "not an ordinary file"), (device, "not an ordinary file"),
     ("sites", "Is a directory"), ("nowhere/findings.csv", "No such file"),
     (f"{CLIMATE}/x", "Not a directory"), (".", "not a name"), ("..", "not a name"), ("sites/..", "not a name")],
)  # fmt: skip
def test_what_is_no_file(clone: Path, name: str | Callable[[Path], str], why: str) -> None:
    unharmed(clone, *CHECK, "--to", name if isinstance(name, str) else name(clone), why=why)


# the folder of a report -----------------------------------------------------------------------------------------------

NOT_OURS: Final = "something else than an earlier report is there"
REPORT: Final = ("report", ".", *DAY, "--to")


@pytest.mark.parametrize("name", [".", "sites", "controls", "..", "../victim", "holds"])
def test_a_report_goes_into_no_folder_of_something_else(clone: Path, name: str) -> None:
    (clone / "holds").mkdir()
    (clone / "holds" / "index.html").write_text("<p>my own pages</p>")
    unharmed(clone, *REPORT, name, why=NOT_OURS)


def test_a_report_goes_into_an_empty_folder_and_into_its_own_again(clone: Path) -> None:
    assert run(clone, *REPORT, "../victim/empty").status == 0
    pages = clone.parent / "victim" / "empty"
    first = everything(pages)
    assert len(first) == 9
    (pages / "mine.txt").write_text("a note")
    (pages / "index.html").unlink()  # as where it was cut off
    (pages / "plants" / "gone.html").write_text("of a plant that is gone")
    assert run(clone, *REPORT, "../victim/empty").status == 0
    assert {name: what for name, what in everything(pages).items() if name in first} == first


@pytest.mark.parametrize("name", ["index.html", "plants", "sheets", "pages.js", "pages.css"])
def test_no_page_goes_through_a_link(clone: Path, name: str) -> None:
    assert run(clone, *REPORT, "pages").status == 0
    target = clone / "pages" / name
    shutil.rmtree(target) if target.is_dir() else target.unlink()
    if name == "pages.css":
        shutil.copy(HOME.parent / "settingslint" / "report" / "templates" / name, clone.parent / "victim" / "css")
    target.symlink_to(clone.parent / "victim" / {"pages.css": "css"}.get(name, "." if "." not in name else "file"))
    unharmed(clone, *REPORT, "pages", why=LINK)


def test_the_folder_of_a_report_is_no_link_of_the_repository(clone: Path) -> None:
    (clone / "pages").symlink_to("../victim/empty")
    unharmed(clone, *REPORT, "pages", why=LINK)
    unharmed(clone, *REPORT, "pages/deeper", why=LINK)
    unharmed(clone, *REPORT, str(clone / "pages" / "deeper"), why=LINK)


# in place as a whole --------------------------------------------------------------------------------------------------


def test_what_was_there_stays_until_the_new_is_whole(tmp_path: Path) -> None:
    file = tmp_path / "findings.csv"
    file.write_text("as it was")

    def broken() -> object:
        yield plain("half of it")
        raise ValueError("in the middle")

    with pytest.raises(ValueError, match="in the middle"):
        put(file, broken())  # type: ignore[arg-type]
    assert everything(tmp_path) == {"findings.csv": b"as it was"}


def test_rights_stay_and_new_files_follow_the_mask(tmp_path: Path) -> None:
    file = tmp_path / "x"
    before = os.umask(0o027)
    try:
        assert put(file, plain("1"))
        assert file.stat().st_mode & 0o777 == 0o640
        file.chmod(0o604)
        assert put(file, plain("2"))
        assert file.stat().st_mode & 0o777 == 0o604
        put(tmp_path / "a" / "b", plain("3"), root=tmp_path / "a", mode=0o600)
        assert [(tmp_path / one).stat().st_mode & 0o777 for one in ("a", "a/b")] == [0o700, 0o600]
        put(tmp_path / "c" / "d", plain("3"), root=tmp_path / "c", mode=0o777)
        assert [(tmp_path / one).stat().st_mode & 0o777 for one in ("c", "c/d")] == [0o750, 0o750]
    finally:
        os.umask(before)


def test_what_is_the_same_is_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "x"
    assert put(file, in_lines(["a"])) and file.read_bytes() == b"a\n"
    number = file.stat().st_ino
    assert not put(file, in_lines(["a"])) and file.stat().st_ino == number
    assert put(file, in_lines(["b"])) and file.stat().st_ino != number
    assert put(file, iter([in_lines(["b"]), in_lines(["c"])])) and file.read_bytes() == b"b\nc\n"


def test_the_other_name_of_a_file_keeps_what_it_was(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("old")
    os.link(tmp_path / "a", tmp_path / "b")
    put(tmp_path / "a", plain("new"))
    assert everything(tmp_path) == {"a": b"new", "b": b"old"}


def test_a_file_that_may_not_be_written_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a").write_text("old")
    monkeypatch.setattr(os, "access", lambda *_, **more: False)
    with pytest.raises(PermissionError):
        put(tmp_path / "a", plain("new"))
    assert everything(tmp_path) == {"a": b"old"}


def test_a_file_made_elsewhere_comes_whole_or_is_made_beside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "made").mkdir()
    put_bytes(tmp_path / "a", b"1", made_in=tmp_path / "made")
    assert everything(tmp_path) == {"a": b"1", "made": "else"}
    real = os.replace

    def another_disk(source: str, target: str, *, src_dir_fd: int, dst_dir_fd: int) -> None:
        if src_dir_fd != dst_dir_fd:
            raise OSError(18, "Invalid cross-device link")
        real(source, target, src_dir_fd=src_dir_fd, dst_dir_fd=dst_dir_fd)

    monkeypatch.setattr(os, "replace", another_disk)
    put_bytes(tmp_path / "a", b"2", made_in=tmp_path / "made")
    assert everything(tmp_path) == {"a": b"2", "made": "else"}


def test_without_handles_of_folders_links_are_refused_all_the_same(
    clone: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a system that names files by their paths only."""
    monkeypatch.setattr(whole, "_BY_HANDLE", False)
    for made in (to_a_file, on_the_way):
        unharmed(clone, *CHECK, "--to", made(clone), why=LINK)
    unharmed(clone, *CHECK, "--to", PROFILE, why=READS)
    for link in ("findings.csv", "out"):
        (clone / link).unlink()
    assert run(clone, *CHECK, "--to", "new.csv").status == 0
    assert run(clone, *REPORT, "pages").status == 0
    assert (clone / "pages" / "plants").is_dir()
    make_folder(clone / "x" / "y")
    assert (clone / "x" / "y").is_dir()


def test_no_handle_is_left_open(clone: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(clone)
    to_a_file(clone), on_the_way(clone)
    if not Path("/proc/self/fd").is_dir():
        pytest.skip("needs /proc")
    before = sorted(os.listdir("/proc/self/fd"))
    for name in ("new", "sites/new", "findings.csv", "out/x", ".git/x", "nowhere/x", PROFILE):
        try:
            put(Path(name), plain("x"))
        except OSError:
            continue
    assert sorted(os.listdir("/proc/self/fd")) == before


def test_a_refusal_comes_from_another_process_as_it_is() -> None:
    one = pickle.loads(pickle.dumps(whole.refused("a", "why")))
    assert (type(one), one.strerror, one.filename) == (NotMeant, "why", "a")
    assert isinstance(plain("x"), Plain)

"""A portfolio of strangers: every free text in it wants to move the cursor, turn lines round and forge lines.

Each command and form is run on it; in nothing that is printed or written is a character that nobody sees, but the ends
of lines.
"""

from __future__ import annotations

import copy
import csv
import io
import os
import re
import shutil
import subprocess
import unicodedata
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint import plain as gate
from settingslint.api import Estate, Look, render
from settingslint.model.control_file import control_from
from settingslint.model.edit import edited
from settingslint.model.profile import profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable
from settingslint.output import FORMS
from settingslint.plain import as_toml, in_lines, plain, together
from tests.command import Said, run
from tests.strategies import text_of

HOME: Final = Path(__file__).parents[1] / "profiles"
MARK: Final = "pwned"
CATEGORIES: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
BLANK: Final = "\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\ufe00\ufe0f\uffa0"
"""Letters, marks and signs that Python calls printable and that show nothing."""
HOSTILE: Final = (
    f"\x1b]0;{MARK}\x07\x1b[2J\x1bc\x9b31m\x90q\x9c\u202e\u2066\u200b\u200d\ufeff\u00ad\u2028\u2029\x85\r\b\x00\x7f\n\t"
    "\U000e0041sites/a.toml:1:1: danger: forged [forged]"
    f"{BLANK}"
)
"""Titles, colours and resets of a terminal (also as C1 controls), bidi overrides and isolates, zero width, tags."""
NAMED: Final = f"x\x1b[2J\x9b31m\u202e\n{MARK}"
"""For names of files and folders."""
BRANCH: Final = f"b\x9b31m\u202e\u200b\u3164{MARK}"
"""Git takes these, and no C0 controls."""
DAY: Final = ("--as-of", "2026-11-28")
PROFILE: Final = f"sites/{NAMED}/boiler\x1b[31m-1.toml"
SECOND: Final = "sites/second/boiler-1.toml"


READ_BY: Final[dict[str, Any]] = {"profile": profile_from, "control": control_from}


def leaves(data: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the way to each text in some data."""
    if isinstance(data, str):
        yield way
    elif isinstance(data, Mapping | list):
        for key, value in data.items() if isinstance(data, Mapping) else enumerate(data):
            yield from leaves(value, (*way, key))


def infected(data: dict[str, Any], kind: str) -> tuple[str, int]:
    """Return a file in which each text is hostile whose schema allows it, and how many there are."""
    count = 0
    for *way, last in list(leaves(data)):
        if last == "climate":
            continue
        trial = copy.deepcopy(data)
        place: Any = trial
        for part in way:
            place = place[part]
        place[last] += HOSTILE
        try:
            source = parse(as_toml(text_of(trial)).encode(), "x.toml")
            check_schema(source, kind)
            READ_BY.get(kind, check_schema)(source, *(() if kind in READ_BY else (kind,)))
        except Unreadable:
            continue
        data, count = trial, count + 1
    check_schema(parse(as_toml(text_of(data)).encode(), "x.toml"), kind)
    return as_toml(text_of(data)), count


def data_of(file: Path) -> dict[str, Any]:
    return parse(file.read_bytes(), file.name).data


def profile_data(site: str) -> dict[str, Any]:
    """Return a profile with every free text that there can be."""
    data = data_of(HOME / "sites" / site / "boiler-1.toml")
    data["plant"] |= {"size": "size", "serial": "A-1", "revision": "1", "group": "g"}
    data["settings"]["size_setting"] = "a size"
    temporary = {"value": 150, "until": "2026-05-01", "then": 160, "why": "why", "by": "by", "watched_by": "watch"}
    data["settings"]["heating_setpoint"] = temporary
    data["accepted"] = [{"rule": "high-limit-too-near", "because": "because of it", "by": "by", "until": "2027-01-01"}]
    data["visit"] = {"on": "2026-11-01", "by": "by", "role": "caretaker", "why": "why", "work_order": "1"}
    return data


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the portfolio, with a history."""
    folder = tmp_path_factory.mktemp("hostile") / f"estate\x9b31m{MARK}"
    texts = 0
    portfolio = data_of(HOME / "portfolio.toml")
    shutil.copytree(HOME / "climate", folder / "climate")
    for name, data, kind in (
        ("portfolio.toml", portfolio, "portfolio"), ("controls/example-a.toml", control_data(), "control"),
        (PROFILE, profile_data("bell-street-library"), "profile"), (SECOND, profile_data("pump-house"), "profile"),
    ):  # fmt: skip
        text, count = infected(data, kind)
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
        texts += count
    (folder / f"sites/{NAMED}/broken\x1b]0;{MARK}\x07.toml").write_text(f'a = "{MARK}\x1b"', encoding="utf-8")
    assert texts > 60
    git(folder, "init", "-q", "-b", "main")
    git(folder, "config", "user.name", f"R{BRANCH}")
    git(folder, "config", "user.email", f"{BRANCH}@example.org")
    commit(folder)
    git(folder, "checkout", "-q", "-b", BRANCH)
    for name in (PROFILE, SECOND):
        text = (folder / name).read_text(encoding="utf-8")
        values: dict[tuple[str, ...], object] = {
            ("settings", "heating_differential"): {"value": 11, "why": HOSTILE},
            ("plant", "size"): f"n{HOSTILE}",
        }
        (folder / name).write_bytes(edited(text, values).encode())
    commit(folder)
    return folder


def control_data() -> dict[str, Any]:
    data = data_of(HOME / "controls" / "example-a.toml")
    data["control"]["title"] = "title"
    return data


def git(folder: Path, *words: str) -> None:
    who = {f"GIT_{role}_{key}": f"R{HOSTILE.replace(chr(0), '')}" for role in ("AUTHOR", "COMMITTER")
           for key in ("NAME", "EMAIL")}  # fmt: skip
    none = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    subprocess.run(["git", *words], cwd=folder, env={**os.environ, **who, **none}, check=True, capture_output=True)


def commit(folder: Path) -> None:
    git(folder, "add", "-A")
    git(folder, "commit", "-q", "-m", f"m{HOSTILE.replace(chr(0), '')}\n\nVisit-Reason: {HOSTILE.replace(chr(0), '')}")


@pytest.fixture
def estate(made: Path, tmp_path: Path) -> Path:
    """Return a copy of it."""
    return Path(shutil.copytree(made, tmp_path / "parent" / made.name, symlinks=True))


def invisible(text: str) -> set[str]:
    """Return the characters in a text that nobody sees, but the ends of lines."""
    unseen = {char for char in text if unicodedata.category(char) in CATEGORIES or char in BLANK}
    return unseen - {"\n"} - ({"\r"} if text.count("\r") == text.count("\r\n") else set())


def files_of(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file() and ".git" not in path.parts}


def clean(
    folder: Path,
    *words: str,
    marked: bool = True,
    status: tuple[int, ...] = (0, 1, 2),
    more: Mapping[str, str] | None = None,
) -> Said:
    """Run a command and assert that neither what it says nor what it writes holds anything that nobody sees.

    With `marked` something hostile must have come that far.
    """
    before = files_of(folder.parent)
    said = run(folder, *words, **(more or {}))
    new = {path: text for path, text in files_of(folder.parent).items() if before.get(path) != text}
    texts = [said.out, said.err, *(text.decode("utf-8") for path, text in new.items() if "cache" not in path.parts)]
    for text in texts:
        assert invisible(text) == set(), (words, [hex(ord(one)) for one in invisible(text)])
        assert not any(line.startswith("sites/a.toml:1:1: danger") for line in text.splitlines()), words
    assert said.status in status, said
    assert not marked or MARK in "".join(texts), words
    return said


CHECKS: Final = ("check", ".", *DAY, "--stop-at", "nothing", "--no-memory")


@pytest.mark.parametrize("form", FORMS)
def test_check(estate: Path, form: str) -> None:
    clean(estate, *CHECKS, "--form", form)
    said = clean(estate, *CHECKS, "--form", form, "--to", f"new\x1b[2J\u202e.{form}", "--not-checked")
    assert said.out == said.err == ""
    clean(estate, *CHECKS, "--form", form, "--new-since", "main")
    clean(estate, *CHECKS, "--form", form, "--new-since", BRANCH, marked=form != "csv")
    clean(estate, "check", *DAY, PROFILE, SECOND, "--form", form)


@pytest.mark.parametrize(
    "words",
    [
        ("check", "controls"), ("effect", PROFILE, *DAY), ("effect", SECOND, *DAY),
        ("effect", PROFILE, "--form", "json"), ("calculate", PROFILE), ("calculate", SECOND),
        ("timeline", PROFILE, *DAY), ("timeline", SECOND, "heating_differential", *DAY),
        ("timeline", SECOND, "--form", "html"), ("timeline", SECOND, "--form", "json"), ("export",),
        ("export", "--to", "out.csv"), ("export", "--questions"),
        *(("questions", *DAY, "--all", "--form", form) for form in ("text", "json", "csv", "html")),
        ("report", ".", *DAY, "--to", f"pages\x1b[2J\u202e{MARK}"),
        *(("notes", "main..HEAD", "--form", form) for form in ("text", "markdown", "html", "json")),
        *(("notes", "--form", form, "--to", f"{MARK}\x9b") for form in ("text", "markdown", "html", "json")),
        *(("sheet", name, "--kind", kind, "--form", form) for kind in ("visit", "as-left", "handover")
          for form in ("html", "markdown") for name in (PROFILE, SECOND)),
        ("sheet", SECOND, "--form", "csv"), ("sheet", PROFILE, "--form", "csv", "--to", f"{MARK}\x9b.csv"),
    ],
)  # fmt: skip
def test_every_command(estate: Path, words: tuple[str, ...]) -> None:
    clean(estate, *words, marked="controls" not in words[1:2])


@pytest.mark.parametrize(
    "words",
    [
        ("check", NAMED), ("check", ".", "--form", NAMED), ("check", ".", "--stop-at", NAMED), (NAMED,),
        ("check", ".", f"--{NAMED}"), ("check", ".", "--as-of", NAMED), ("check", ".", "--new-since", NAMED),
        ("effect", NAMED), ("effect", PROFILE, NAMED), ("explain", NAMED), ("timeline", PROFILE, NAMED),
        ("timeline", NAMED), ("notes", NAMED), ("questions", NAMED),
        ("questions", ".", "--form", NAMED), ("sheet", PROFILE, "--kind", NAMED), ("sheet", NAMED),
        ("sheet", PROFILE, "--paper", NAMED), ("import", NAMED), ("export", NAMED), ("calculate", NAMED),
        ("visit", NAMED), ("visit", PROFILE, NAMED), ("begin", ".", "--control", NAMED), ("begin", "sites/" + NAMED),
        ("report", NAMED, "--to", "x"), ("report", "--to", f"sites/{NAMED}"), ("check", PROFILE, "--to", f"{NAMED}/x"),
        ("begin", f"new/{NAMED}"), ("begin", f"new/{NAMED}", "--example"), ("import", "x.csv", "--from", NAMED),
        ("import", "x.csv", "--decimal", NAMED), ("begin", f"new/{NAMED}", "--units", NAMED),
        ("notes", "--portfolio", NAMED), ("check", f"{NAMED}\udcff"), ("begin", f"new/{NAMED}\udcff"),
    ],
)  # fmt: skip
def test_what_is_typed(estate: Path, words: tuple[str, ...]) -> None:
    said = clean(estate, *words, marked=False)
    assert said.status == 2 or words[0] == "begin"
    assert MARK in said.out + said.err or words[-2] in ("--control", "--from", "--decimal", "--units")


def test_calculate_writes_what_it_read_and_names_the_file(estate: Path) -> None:
    assert "proposed in" in clean(estate, "calculate", PROFILE, "--write", status=(0,)).out
    assert invisible((estate / PROFILE).read_text(encoding="utf-8")) == set()


READINGS: Final = {
    "serial": f"A-1{HOSTILE}",
    "visit": {"why": HOSTILE, "by": HOSTILE, "role": "caretaker", "work_order": HOSTILE, "on": "2026-11-24"},
    "left": {"heating_setpoint": {"value": 155, "read_back": 155, "why": HOSTILE, "watched_by": HOSTILE}},
    "found": {"heating_differential": 12},
}


def test_a_visit(estate: Path) -> None:
    (estate.parent / f"r{NAMED}.toml").write_text(as_toml(text_of(READINGS)), encoding="utf-8")
    readings = f"../r{NAMED}.toml"
    who = {f"GIT_{role}_{key}": f"R{BRANCH}" for role in ("AUTHOR", "COMMITTER") for key in ("NAME", "EMAIL")}
    clean(estate, "visit", PROFILE, readings, "--dry-run", status=(0,), more=who)
    said = clean(estate, "visit", PROFILE, readings, status=(0,), more=who)
    assert "committed: " in said.out and "on b\\x9b31m\\u202e\\u200b" in said.out
    clean(estate, "visit", PROFILE, readings, more=who)
    clean(estate, "timeline", PROFILE)
    clean(estate, "notes", "HEAD~2..HEAD")


def test_a_visit_from_a_table(estate: Path) -> None:
    out = io.StringIO()
    rows = [("setting", "found", "left", "read back", "why"), ("visit.on", "", "2026-11-24", "", ""),
            ("visit.why", "", HOSTILE, "", ""), ("visit.role", "", "caretaker", "", ""),
            ("heating_differential", "11", "12", "12", HOSTILE), (f"{HOSTILE}", "1", "1", "1", "")]  # fmt: skip
    csv.writer(out).writerows([[cell.replace("\0", "") for cell in row] for row in rows])
    (estate.parent / "readings.csv").write_text(out.getvalue(), encoding="utf-8", newline="")
    clean(estate, "visit", SECOND, "../readings.csv", status=(2,))
    (estate.parent / "readings.csv").write_text("".join(out.getvalue().rpartition("\r\nsites")[0]), encoding="utf-8")


def test_a_spreadsheet(estate: Path) -> None:
    """Names, headers and words of a table, and the mapping and the profiles that are made of it."""
    bad = HOSTILE.replace("\0", "")
    out = io.StringIO()
    csv.writer(out).writerows([
        ["plant.site", "plant.name", "plant.control", "plant.serial", f"odd{bad}", "heating_setpoint [F]", "reset"],
        [f"Site{bad}", f"B1{bad}", "example-a", bad, bad, "150", f"yes{bad}"],
        [f"Site{bad}", f"B2{bad}", "example-a", bad, bad, "150", "yes"],
    ])  # fmt: skip
    table = estate.parent / f"t{NAMED}.csv"
    table.write_text(out.getvalue(), encoding="utf-8", newline="")
    words = ("import", str(table), "--into", ".", "--units", "us")
    clean(estate, *words, status=(2,))
    clean(estate, *words, "--write-mapping", f"m{NAMED}.toml", status=(0,))
    said = clean(estate, *words, "--skip-wrong", status=(2,))
    assert "1 profiles written" in said.out, said
    clean(estate, *words, "--skip-wrong", status=(2,))
    clean(estate, *words, "--mapping", f"m{NAMED}.toml")
    clean(estate, "export")


def test_a_control_by_questions(estate: Path) -> None:
    answers = f"one number\n{HOSTILE.splitlines()[0]}\n\n" + "\n" * 8 + f"yes\n{MARK}\x9b\u202e\n" + "\n" * 2000
    said = clean(estate, "begin", ".", "--control", "mine", more={"given": answers})
    assert said.status == 0
    assert "\\u202e" in (estate / "controls" / "mine.toml").read_text(encoding="utf-8")


def test_on_a_terminal_colours_are_the_only_control_characters(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(estate)
    text = render("text", Estate(".").check(), Look(80, colour=True))
    assert "\x1b[" in text and MARK in text
    assert invisible(re.sub("\x1b\\[[0-9;]+m(danger|damage|outage|waste|record)\x1b\\[0m", "", text)) == set()


def test_a_cell_stays_no_formula(estate: Path) -> None:
    """What is spelled out begins with no sign that a spreadsheet takes for a formula."""
    text = (estate / SECOND).read_text(encoding="utf-8")
    for number, site in enumerate(("=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "\n=1", "\u202e=1", "\x1b=1", "'=1")):
        changed = edited(text, {("plant", "site"): site, ("plant", "name"): f"B{number}"})
        (estate / f"sites/second/b{number}.toml").write_text(changed, encoding="utf-8")
    for words in (("export",), (*CHECKS, "--form", "csv")):
        out = clean(estate, *words).out
        cells = [cell for row in csv.reader(io.StringIO(out, newline="")) for cell in row]
        assert not [cell for cell in cells if cell[:1] in "=+@\t\r\n" and cell], words
        assert not [cell for cell in cells if cell[:1] == "-" and not re.fullmatch(r"-[0-9.]+", cell)], words


@pytest.mark.parametrize("name", ["_spelled"])
def test_without_the_gate_it_gets_out(estate: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.setattr(gate, name, lambda text: text)
    for words in (("effect", PROFILE), (*CHECKS, "--form", "csv"), ("export",), ("begin", f"new/{NAMED}")):
        assert invisible(run(estate, *words).out) or words[0] == "begin"


def test_the_gate_by_itself() -> None:
    assert plain(HOSTILE).isprintable() and MARK in plain(HOSTILE)
    assert invisible(as_toml(f'a = "{HOSTILE}"')) == set()
    assert in_lines([HOSTILE, plain("b")]).count("\n") == 2
    assert together(HOSTILE, plain("b")).count("\n") == 0
    for part in (
        str(plain("a")) + "\x1b",
        f"{plain('a')}\x9b",
        plain("a").replace("a", "\x1b"),
        plain("a").join("\x1bc"),
    ):
        assert invisible(in_lines([part])) == set()  # what is made of a Plain is none
    assert plain(in_lines(["a", "b"])) == "a\\x0ab\\x0a"

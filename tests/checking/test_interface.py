"""What programs and other tools hold on to: the Python interface, the hook file, exit status, help, completion."""

from __future__ import annotations

import doctest
import os
import pty
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

import settingslint.api
from settingslint.api import FORMS, Estate, Severity, Unreadable, parts, render
from tests.bench.portfolio import make
from tests.history.kit import Work, started

ROOT = Path(__file__).parents[2]
AS_OF = date(2026, 11, 25)


def run(folder: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(folder / ".cache"), **more}
    return subprocess.run(
        [sys.executable, "-m", "settingslint", *words], cwd=folder, env=environment, capture_output=True, text=True,
        check=False,
    )  # fmt: skip


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "p")


def test_open_check_and_look_at_a_plant(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(work.folder)
    work.profile("sites/mill/boiler-1.toml", {"settings.keep_warm": 3})
    estate = Estate("sites/mill/boiler-1.toml", AS_OF)
    assert estate.root.resolve() == work.folder
    report = estate.check()
    assert [result.plant for result in report.results] == ["Boiler 1"]
    assert report.exit_status(Severity.WASTE) == 1 and estate.problems == ()
    assert Estate(".", AS_OF).check(new_since="HEAD").known == frozenset()
    for form in FORMS:
        assert "".join(parts(form, report, settingslint.api.Look())) == render(form, report)
    assert estate.plant("sites/mill/boiler-1.toml").effects["keep_warm"].effective is not None
    with pytest.raises(Unreadable, match="does not exist"):
        estate.plant("sites/mill/none.toml")
    work.commit("keep-warm")
    assert [note.path for note in estate.notes().notes] == ["sites/mill/boiler-1.toml"]


def test_the_command_says_what_the_interface_says(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(work.folder)
    out = run(work.folder, "check", ".", "--as-of", "2026-11-25", "--form", "json").stdout
    assert out == render("json", Estate(".", AS_OF).check())


def test_the_example_in_the_documentation_runs(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    assert settingslint.api.__doc__ is not None
    code = re.search(r"\n\n((?:    .*\n|\n)+)", settingslint.api.__doc__)
    assert code is not None
    text = "\n".join(line[4:] for line in code[1].splitlines())
    monkeypatch.chdir(work.folder)
    for number in range(4):
        work.profile(
            "sites/quay/boiler-1.toml", {"plant.site": "Quay", "plant.serial": "K-7", "visit.why": str(number)}
        )
        work.commit(str(number))
    text = text.replace('"profiles"', '"."').replace("profiles/sites", "sites")
    exec(compile(text, "the example", "exec"), {})
    assert doctest.testmod(settingslint.api).failed == 0


@pytest.mark.parametrize(
    ("changes", "words", "status"),
    [
        ({}, ["--stop-at", "record"], None),
        ({"settings.keep_warm": 3}, ["--stop-at", "waste"], 1),
        ({"settings.keep_warm": 3}, ["--stop-at", "nothing"], 0),
        ({"settings.keep_warm": 3}, ["--stop-at", "danger"], 0),
        ({"plant.size": 3}, ["--stop-at", "nothing"], 2),
        ({}, ["--stop-at", "catastrophe"], 2),
        ({}, ["--form", "html"], 2),
        ({}, ["--form", "text", "--form", "json", "--form", "csv"], 2),
        ({}, ["--to", "a", "--to", "b"], 2),
        ({}, ["--as-of", "yesterday"], 2),
        ({}, ["--what"], 2),
        ({}, ["nowhere"], 2),
    ],
)  # fmt: skip
def test_exit_status(work: Work, changes: dict[str, object], words: list[str], status: int | None) -> None:
    work.profile("sites/mill/boiler-1.toml", changes)
    done = run(work.folder, "check", "sites", *words)
    assert done.returncode == status or (status is None and done.returncode in (0, 1))
    assert "Traceback" not in done.stderr


def test_a_fault_of_the_program_is_no_finding(work: Work) -> None:
    (work.folder / "sitecustomize.py").write_text(
        "import settingslint.checking.check as c\ndef boom(*a, **k):\n    raise AssertionError('a fault')\n"
        "c.Check.report = boom\n",
        encoding="utf-8",
    )
    done = run(work.folder, "check", ".", PYTHONPATH=f"{work.folder}{os.pathsep}{ROOT}")
    assert done.returncode == 2 and "a fault" in done.stderr


def test_several_forms_at_once(work: Work) -> None:
    words = ["--form", "sarif", "--to", "a.sarif", "--form", "junit", "--to", "b.xml", "--form", "text"]
    done = run(work.folder, "check", ".", "--as-of", "2026-11-25", "--stop-at", "nothing", *words)
    assert done.returncode == 0 and "1 boiler of Kit" in done.stdout
    for form, file in (("sarif", "a.sarif"), ("junit", "b.xml")):
        alone = run(work.folder, "check", ".", "--as-of", "2026-11-25", "--stop-at", "nothing", "--form", form)
        assert (work.folder / file).read_text(encoding="utf-8") == alone.stdout


@pytest.mark.parametrize("words", [
    ["--form", "text", "--form", "junit", "--to", "x.out"], ["--form=junit", "--to=x.out", "--form=text"],
    ["--form", "junit", "--to", "x.out", "--stop-at", "nothing", "--form", "text"],
])  # fmt: skip
def test_a_file_is_for_the_form_that_stands_before_it(work: Work, words: list[str]) -> None:
    done = run(work.folder, "check", ".", "--as-of", "2026-11-25", *words)
    assert "1 boiler of Kit" in done.stdout and "<testsuites" not in done.stdout
    assert (work.folder / "x.out").read_text(encoding="utf-8").startswith("<?xml")


def test_a_single_form_has_its_file_on_either_side(work: Work) -> None:
    for words in (["--to", "x.out", "--form", "junit"], ["--form", "junit", "--to", "x.out"]):
        assert run(work.folder, "check", ".", *words).stdout == ""
        assert "<testsuites" in (work.folder / "x.out").read_text(encoding="utf-8")


@pytest.mark.parametrize(("words", "said"), [
    (["--form", "json", "--to", "x.out", "--form", "csv", "--to", "./x.out"], "two forms can't go to one file"),
    (["--to", "x.out", "--form", "json", "--form", "csv"], "put each --to behind its --form"),
    (["--form", "json", "--to", "x.out", "--to", "y", "--form", "csv"], "put each --to behind its --form"),
    (["--form", "json", "--form", "csv", "--form", "text", "--to", "x.out"], "one of them may go to the screen"),
])  # fmt: skip
def test_forms_and_files_that_do_not_pair_are_one_line(work: Work, words: list[str], said: str) -> None:
    done = run(work.folder, "check", ".", *words)
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1)
    assert said in done.stderr and not (work.folder / "x.out").exists()


def test_what_was_written_to_a_file_is_said_in_one_line(work: Work) -> None:
    notes = run(work.folder, "notes", "--form", "html", "--to", "note.html")
    assert (notes.returncode, notes.stdout) == (0, "change notes, html: note.html\n")
    pages = run(work.folder, "report", ".", "--to", "pages").stdout
    assert re.fullmatch(r"1 plant, \d+ files written or changed: pages/index.html\n", pages)


def test_memory_is_for_many_plants_and_can_be_done_without(tmp_path: Path) -> None:
    make(tmp_path / "p", 45)
    words = ["check", "p", "--as-of", "2026-11-25", "--stop-at", "nothing"]
    without = run(tmp_path, *words, "--no-memory").stdout
    assert not (tmp_path / ".cache").exists()
    assert run(tmp_path, *words).stdout == without
    assert list((tmp_path / ".cache" / "settingslint").rglob("*.memory"))
    assert run(tmp_path, *words).stdout == without


def test_the_bar_is_for_a_terminal_and_for_long_work(tmp_path: Path) -> None:
    make(tmp_path / "p", 45)
    code = (
        "import settingslint.cli.common as c, settingslint.cli as m, sys; c.LONG = 0.0;"
        "sys.argv[1:] = ['check', 'p', '--no-memory', '--stop-at', 'nothing']; m.main()"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm"}
    piped = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env=environment, capture_output=True, check=True)
    assert piped.stderr == b""
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-c", code], cwd=tmp_path, env=environment, stdout=subprocess.PIPE, stderr=theirs
    ) as child:
        assert child.stdout is not None
        out = child.stdout.read()
    os.close(theirs)
    shown = os.read(ours, 1 << 16)
    os.close(ours)
    assert b"of 45 plants" in shown and shown.endswith(b"\r\x1b[K")
    assert out == piped.stdout


def test_help_names_every_option_and_status() -> None:
    text = re.sub(r"\s+", " ", run(ROOT, "check", "--help", COLUMNS="100").stdout)
    for word in (
        "--form",
        "--to",
        "--stop-at",
        "--new-since",
        "--as-of",
        "--no-memory",
        "Exit status: 0",
        "1 findings",
    ):
        assert word in text
    assert "--install-completion" in run(ROOT, "--help").stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_offers_commands_and_options(shell: str) -> None:
    """Asked as the scripts ask that `--show-completion` prints."""
    asked = {
        "bash": {"COMP_WORDS": "settingslint ch", "COMP_CWORD": "1"},
        "zsh": {"_TYPER_COMPLETE_ARGS": "settingslint ch"},
        "fish": {"_TYPER_COMPLETE_ARGS": "settingslint ch", "_TYPER_COMPLETE_FISH_ACTION": "get-args"},
    }[shell]
    code = "import sys; sys.argv[:] = ['settingslint']; from settingslint.cli import main; main()"
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "_SETTINGSLINT_COMPLETE": f"complete_{shell}", **asked}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=False)
    assert "check" in done.stdout and "notes" not in done.stdout, done.stderr


def test_the_hook_file_is_one() -> None:
    """By the pre-commit framework's own loader."""
    clientlib = pytest.importorskip("pre_commit.clientlib")
    (hook,) = clientlib.load_manifest(ROOT / ".pre-commit-hooks.yaml")
    assert hook["entry"].split() == ["settingslint", "check"] and hook["language"] == "python"
    wanted = ["portfolio.toml", "controls/a.toml", "estate/sites/mill/boiler-1.toml", "sites/a/b/c.toml"]
    assert all(re.search(hook["files"], name) for name in wanted)
    assert not any(re.search(hook["files"], name) for name in ["README.md", "pyproject.toml", "controls/a/b.txt"])

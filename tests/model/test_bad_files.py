"""Files that can't be used. Each file in `tests/profiles/bad/` stands beside what is said of it, `.expected`.

Dropping a pair there is a test: `control-*.toml` is read as a control file, any other as a profile whose control is
looked for in `controls/` beside it. `python -m tests.model.test_bad_files` writes what is said now; read the diff.
"""

from __future__ import annotations

import os
import re
from datetime import date
from pathlib import Path
from time import perf_counter

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from settingslint.files.reader import Reader
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import LARGEST_FILE, parse, read_bytes
from settingslint.model.validate import check_schema
from settingslint.model.values import Problem, Unreadable
from tests.strategies import Data, controls, profiles, text_of

FOLDER = Path(__file__).parents[1] / "profiles" / "bad"
FILES = sorted(FOLDER.glob("*.toml"))
LINE = re.compile(r"[^:]+:[1-9][0-9]*:[1-9][0-9]*: \S.*")


def problems_of(content: bytes, name: str) -> list[Problem]:
    """Return what is said of a profile or, by its name, of a control file."""
    kind = "control" if name.startswith("control-") else "profile"
    try:
        source = parse(content, name)
        check_schema(source, kind)
        (control_from if kind == "control" else profile_from)(source)
    except Unreadable as unreadable:
        return unreadable.problems
    return []


def said_of(path: Path) -> str:
    """Return the lines that are said of a file, from the folder it is in."""
    reader = Reader(path.parent, date(2026, 6, 1))
    if path.name.startswith("control-"):
        found = problems_of(read_bytes(path, path.name), path.name)
    else:
        found = []
        try:
            reader.plant(Path(path.name))
        except Unreadable as unreadable:
            found = [*unreadable.problems, *reader.problems]
    return "".join(f"{problem.file}:{problem.line}:{problem.column}: {problem.message}\n" for problem in found)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_bad_file(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    said = said_of(path)
    assert said, "nothing is wrong with this file"
    for line in said.splitlines():
        assert LINE.fullmatch(line), line
        assert line.isprintable()
        assert len(line) < 600
    assert said == path.with_suffix(".expected").read_text(encoding="utf-8")


def test_every_expectation_has_its_file() -> None:
    assert {path.stem for path in FOLDER.glob("*.expected")} == {path.stem for path in FILES}
    assert len(FILES) > 60


# -- files that can't stand in a folder ----------------------------------------------------------------------------


def refused(path: Path) -> str:
    with pytest.raises(Unreadable) as raised:
        read_bytes(path, "a.toml")
    assert len(raised.value.problems) == 1
    problem = raised.value.problems[0]
    assert (problem.file, problem.line, problem.column) == ("a.toml", 1, 1)
    return problem.message


def test_a_missing_file(tmp_path: Path) -> None:
    assert refused(tmp_path / "a.toml") == "does not exist"
    assert refused(tmp_path / "no folder" / "a.toml") == "does not exist"
    assert refused(tmp_path / ("a" * 300)) == "can't be read: File name too long"
    (tmp_path / "link.toml").symlink_to(tmp_path / "nowhere")
    assert refused(tmp_path / "link.toml") == "does not exist"


def test_a_folder_and_a_pipe(tmp_path: Path) -> None:
    (tmp_path / "a.toml").mkdir()
    assert refused(tmp_path / "a.toml") == "is a folder"
    os.mkfifo(tmp_path / "pipe.toml")
    assert refused(tmp_path / "pipe.toml") == "is not a file"
    (tmp_path / "loop.toml").symlink_to(tmp_path / "loop.toml")
    assert refused(tmp_path / "loop.toml") == "does not exist"


def test_access_denied(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text("format = 1\n")
    file.chmod(0)
    nobody = 65534
    root = os.geteuid() == 0
    try:
        if root:  # root may read anything
            os.seteuid(nobody)
        assert refused(file) == "can't be read: Permission denied"
    finally:
        if root:
            os.seteuid(0)


def test_a_huge_file(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_bytes(b"#" * LARGEST_FILE)
    assert len(read_bytes(file, "a.toml")) == LARGEST_FILE
    file.write_bytes(b"#" * (LARGEST_FILE + 1))
    assert refused(file) == "larger than 1,000,000 bytes: not read"


HEAD = b'format = 1\nunits = "us"\nplant = { name = "a", site = "b", control = "c" }\n'


@pytest.mark.parametrize(
    "content",
    [
        HEAD + b"settings = " + b"[" * 400_000,
        HEAD + b"settings = " + b"{a=" * 200_000,
        HEAD + b"settings." + b"a." * 2_000 + b"a = 1",
        HEAD + b"[settings]\n" + b"\n".join(b"unknown_%d = 1" % index for index in range(50_000)),
        HEAD + b"[settings]\n" + b"a" * 900_000 + b" = 1",
        HEAD + b"[settings]\nheating_setpoint = " + b"1" * 900_000,
        HEAD + b"[settings]\nheating_setpoint = 0x" + b"f" * 900_000,
        HEAD + b"[settings]\nhot_water_method = '" + b"x" * 900_000 + b"'",
        HEAD + b"[settings]\nheating_setpoint = [" + b"1," * 400_000 + b"]",
    ],
    ids=["lists", "tables", "dotted", "keys", "long key", "digits", "hex", "long word", "long list"],
)
def test_a_hostile_file_is_refused_in_a_few_seconds(content: bytes) -> None:
    began = perf_counter()
    problems = problems_of(content, "a.toml")
    assert perf_counter() - began < 20
    assert 1 <= len(problems) <= 100
    for problem in problems:
        assert problem.line >= 3
        assert problem.message.isprintable()
        assert len(problem.message) <= 500


# -- anything at all -----------------------------------------------------------------------------------------------

MANY = settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))


def nothing_breaks(content: bytes) -> None:
    lines = content.decode("utf-8", "replace").count("\n") + 1
    for name in ("a.toml", "control-a.toml"):
        for problem in problems_of(content, name):
            assert problem.message.isprintable()
            assert 1 <= problem.line <= lines
            assert problem.column >= 1


@MANY
@given(st.binary(max_size=200))
def test_any_bytes(content: bytes) -> None:
    nothing_breaks(content)
    nothing_breaks(HEAD + content)


@MANY
@given(profiles() | controls(), st.data())
def test_a_good_file_with_a_part_torn_out(data: Data, chance: st.DataObject) -> None:
    content = text_of(data).encode()
    begin = chance.draw(st.integers(0, len(content)))
    end = chance.draw(st.integers(begin, min(len(content), begin + 40)))
    nothing_breaks(content[:begin] + chance.draw(st.binary(max_size=3)) + content[end:])


if __name__ == "__main__":
    os.chdir(FOLDER)
    for bad in FILES:
        bad.with_suffix(".expected").write_text(said_of(bad), encoding="utf-8")

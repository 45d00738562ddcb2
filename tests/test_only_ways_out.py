"""Nothing goes around the one writer and the one gate: what else writes or prints is named here, with its reason."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

from tests.test_types import mypy
from tests.ways_out import PACKAGE, Way, all_ways, ways

WRITER: Final = "files/whole.py"
WRITES: Final = {
    ("cli/common.py", "write"): "opens the null device where nobody reads standard output any more",
    ("checking/memory.py", "Memory.follow"): "takes one file of the memory away",
    ("files/strangers.py", "_read"): "opens what it looks into for reading, through no link",
    ("history/start.py", "commit_states"): "git's own list of what it shall not see, in a new repository",
    ("history/writing.py", "_alone"): "the folder and the lock of one visit, in git's folder",
    ("history/writing.py", "check"): "the lock",
    ("history/writing.py", "_Writer._blob"): "what git reads, in that folder",
    ("history/writing.py", "_Writer._tree"): "a list of git's, in that folder",
    ("history/writing.py", "_Writer._commits"): "a message that git reads, in that folder",
    ("history/writing.py", "_Writer._heard"): "a message that hooks may change, in that folder",
}
PRINTS: Final = {
    ("cli/__init__.py", "_print_version"): "the version, before anything else is loaded",
    ("cli/common.py", "complain"): "a line on standard error",
    ("cli/common.py", "ask"): "a question",
    ("cli/common.py", "confirmed"): "a question",
    ("cli/common.py", "bar"): "a bar of numbers",
    ("cli/common.py", "bar.show"): "a bar of numbers",
    ("cli/common.py", "write"): "standard output",
}
GATE: Final = "plain.py"


def test_nothing_writes_around_the_writer() -> None:
    written = all_ways()[0]
    around = [one for one in written if one.module != WRITER and one[:2] not in WRITES]
    assert around == [], "settingslint.files.whole.put writes files; see its docstring"
    assert set(WRITES) <= {one[:2] for one in written}, "an exception that nothing needs any more"


def test_nothing_prints_around_the_gate() -> None:
    printed = all_ways()[1]
    around = [one for one in printed if one.module != GATE and one[:2] not in PRINTS]
    assert around == [], (
        "settingslint.cli.common.say, complain, ask and write print; settingslint.plain makes text plain"
    )
    assert set(PRINTS) <= {one[:2] for one in printed}, "an exception that nothing needs any more"


@pytest.mark.parametrize(
    "text",
    [
        "open('x', 'w')", "open('x', mode='a+')", "open('x', how)", "open('x', **more)", "Path('x').open('xb')",
        "io.open('x', 'w')", "path.write_text('x')", "path.write_bytes(b'x')", "path.mkdir()", "path.rename(other)",
        "path.replace(other)", "path.touch()", "path.symlink_to(other)", "path.unlink()", "os.replace('a', 'b')",
        "os.makedirs('a')", "os.open('a', 1)", "shutil.copy('a', 'b')", "shutil.move('a', 'b')", "import tempfile",
        "from tempfile import mkstemp", "from os import replace", "from shutil import move", "import sqlite3",
        "def f():\n    def g():\n        a.b.write_text('x')",
    ],
)  # fmt: skip
def test_it_sees_what_writes(text: str) -> None:
    assert len(ways(text, "x")[0]) == 1


@pytest.mark.parametrize(
    "text",
    [
        "print('x')", "typer.echo('x')", "typer.secho('x')", "typer.prompt('x')", "sys.stdout.write('x')",
        "sys.stdout.buffer.write(b'x')", "sys.stderr.writelines(['x'])", "from typer import echo",
        "from sys import stdout", "show(sys.stderr)", "json.dump(data, sys.stdout)", "show(file=sys.stdout)",
        "warnings.warn('x')", "Plain('x')", "plain.Plain('x')", "click.echo('x')",
    ],
)  # fmt: skip
def test_it_sees_what_prints(text: str) -> None:
    assert len(ways(text, "x")[1]) == 1


@pytest.mark.parametrize(
    "text",
    [
        "open('x')", "open('x', 'rb')", "path.open('rb')", "path.open()", "text.replace('a', 'b')", "replace(one, a=1)",
        "day.replace(year=1)", "sys.stdout.isatty()", "names.remove('x')", "os.stat('x')", "data.copy()",
    ],
)  # fmt: skip
def test_it_takes_nothing_else_for_it(text: str) -> None:
    assert ways(text, "x") == ([], [])


LAID_OUT: Final = {
    "model/schema.py", "output/explain.py", "output/junit.py", "output/markdown.py", "output/plain.py",
    "report/index.py", "report/pages.py", "report/sheet.py", "report/single.py", "sheets/cells.py", "starter/new.py",
}  # fmt: skip
"""Where the ends of lines are the program's own, since each part was made plain, or escaped, before."""
AS_BYTES: Final = {
    "checking/memory.py", "cli/calculate.py", "cli/import_.py", "history/start.py", "history/writing.py",
}  # fmt: skip
"""What is written as it is: results, profiles with the comments and the layout that somebody gave them, the example."""


def _calling(name: str) -> set[str]:
    files = {file.relative_to(PACKAGE).as_posix(): file.read_text(encoding="utf-8") for file in PACKAGE.rglob("*.py")}
    return {file for file, text in files.items() if f"{name}(" in text} - {GATE, WRITER}


def test_few_lay_out_text_or_write_bytes_themselves() -> None:
    assert _calling("as_laid_out") == LAID_OUT
    assert _calling("put_bytes") == AS_BYTES


HEAD = """
from collections.abc import Iterator
from pathlib import Path
from settingslint.cli.common import write
from settingslint.files.whole import put
from settingslint.plain import Plain, in_lines, plain
name = input()
def some() -> Iterator[str]:
    yield name
"""
AROUND = (
    "put(Path('x'), name)", "put(Path('x'), f'{plain(name)}')", "put(Path('x'), plain(name) + name)",
    "put(Path('x'), some())", "write(name, None)", "write([name], None)", "write(''.join(map(plain, name)), None)",
    "told: Plain = name",
)  # fmt: skip
THROUGH = """
put(Path('x'), plain(name))
put(Path('x'), in_lines(some()))
write([plain(name)], None)
write(in_lines([name, f"{name}"]), None)
"""


def test_the_types_refuse_text_that_was_not_made_plain(tmp_path: Path) -> None:
    out, status = mypy("\n".join(AROUND) + THROUGH, tmp_path, HEAD)
    wrong = {int(line.split(":")[1]) for line in out.splitlines() if ": error:" in line}
    first = HEAD.count("\n") + 1
    assert status == 1
    assert wrong == set(range(first, first + len(AROUND))), out


def test_at_run_time_too(tmp_path: Path) -> None:
    from settingslint.cli.common import write
    from settingslint.files.whole import put

    for wrong in ("raw", ["raw"]):
        with pytest.raises(TypeError, match="gate"):
            write(wrong, None)  # type: ignore[arg-type]
        with pytest.raises(TypeError, match="gate"):
            put(tmp_path / "x", wrong)  # type: ignore[arg-type]
    assert list(tmp_path.iterdir()) == []


def test_a_way_is_told_by_its_place() -> None:
    assert ways("def f():\n    print(1)", "m.py")[1] == [Way("m.py", "f", 2, "print")]

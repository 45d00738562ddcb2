"""The README's "Ten minutes": each command is run, and what it prints is compared with what stands there.

In the README `...` stands for anything: alone on a line for any lines, within a line for any words. Its day is the day
of the run.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
DAY: Final = "2026-11-25"
"""The day on which the README's outputs were made."""
BLOCK: Final = re.compile(r"(?P<before>[^\n]*\n?)\n?```(?P<language>sh|text|toml)\n(?P<body>.*?)```", re.DOTALL)


def chapter() -> str:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(r"^## Ten minutes\n(.*?)(?=^## )", text, re.MULTILINE | re.DOTALL)
    assert found, "the README has a chapter of ten minutes"
    return found[1]


class Walk:
    """Somebody who types what stands there, in an empty folder, with `settingslint` on the path."""

    def __init__(self, folder: Path) -> None:
        self.here = folder / "home"
        self.here.mkdir()
        tools = folder / "tools"
        tools.mkdir()
        tool = tools / "settingslint"
        tool.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m settingslint "$@"\n', encoding="utf-8")
        tool.chmod(0o755)
        self.environment = {
            "PATH": f"{tools}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": str(ROOT), "HOME": str(folder),
            "LANG": "C.UTF-8", "GIT_CONFIG_NOSYSTEM": "1", "GIT_AUTHOR_NAME": "P. Larsen",
            "GIT_AUTHOR_EMAIL": "larsen@example.org", "GIT_COMMITTER_NAME": "P. Larsen",
            "GIT_COMMITTER_EMAIL": "larsen@example.org",
        }  # fmt: skip

    def type(self, line: str) -> str:
        """Type one command and return what it prints; it must not fail otherwise than by findings."""
        words = shlex.split(line)
        if words[0] == "cd":
            self.here = (self.here / words[1]).resolve()
            return ""
        done = subprocess.run(
            words, cwd=self.here, env=self.environment, capture_output=True, text=True, encoding="utf-8", check=False
        )
        assert done.returncode in ((0, 1) if words[:2] == ["settingslint", "check"] else (0,)), f"{line}: {done.stderr}"
        assert done.stderr == "", f"{line}: {done.stderr}"
        return done.stdout.replace(date.today().isoformat(), DAY)

    def edit(self, sentence: str, body: str) -> None:
        """Do to a file what the sentence before its block says."""
        name = re.findall(r"`([^`]+\.toml)`", sentence)[-1]
        file = self.here / name
        if "Write" in sentence:
            file.write_text(body, encoding="utf-8")
            return
        assert "in place of its line" in sentence
        text = file.read_text(encoding="utf-8")
        for line in body.splitlines():
            text, count = re.subn(rf"^{line.partition(' = ')[0]} = .*$", line, text, flags=re.MULTILINE)
            assert count == 1, line
        file.write_text(text, encoding="utf-8")


def pattern(expected: str) -> re.Pattern[str]:
    """Return what matches an output of the README."""
    parts = []
    for line in expected.splitlines():
        parts.append(r"(?:.*\n)*?" if line == "..." else r".*?".join(map(re.escape, line.split("..."))) + r"\n")
    return re.compile("".join(parts))


def test_every_command_prints_what_stands_there(tmp_path: Path) -> None:
    walk, printed, typed, compared = Walk(tmp_path), "", 0, 0
    for block in BLOCK.finditer(chapter()):
        body = block["body"]
        if block["language"] == "toml":
            walk.edit(block["before"], body)
        elif block["language"] == "sh":
            outputs = [walk.type(line) for line in body.splitlines()]
            printed, typed = "".join(outputs), typed + len(outputs)
        else:
            assert pattern(body).fullmatch(printed), f"the README says\n{body}\nand it prints\n{printed}"
            compared += 1
    assert typed >= 12 and compared >= 6


def test_what_is_compared_would_be_noticed() -> None:
    assert pattern("a\n...\nd\n").fullmatch("a\nb\nc\nd\n")
    assert pattern("a\n...\n").fullmatch("a\n")
    assert pattern("one ... three\n").fullmatch("one two three\n")
    assert not pattern("a\n...\nd\n").fullmatch("a\nb\n")
    assert not pattern("a\n").fullmatch("a\nb\n")


def test_it_asks_for_nothing_of_git_but_what_it_says() -> None:
    lines = [
        line for block in BLOCK.finditer(chapter()) if block["language"] == "sh" for line in block["body"].splitlines()
    ]
    assert [line.split()[1] for line in lines if line.startswith("git ")] == ["add", "commit"]

"""What is delivered: few packages, the lowest versions that are promised, and nothing that runs at import."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
PROJECT: Final = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_the_lowest_versions_are_those_of_the_constraints_file() -> None:
    promised = dict(one.split(">=") for one in PROJECT["project"]["dependencies"])
    lines = (ROOT / "tests" / "lowest.txt").read_text(encoding="utf-8").splitlines()
    lowest = dict(line.split("==") for line in lines if line and not line.startswith("#"))
    assert lowest == promised


def test_every_package_has_its_reason() -> None:
    reasons = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    names = [re.split(r"[><=]", one)[0] for one in PROJECT["project"]["dependencies"]]
    assert len(names) <= 7
    for name in names:
        assert f"| {name} |" in reasons, name


WATCH: Final = """
import pkgutil, socket, subprocess, sys

def refuse(self, *arguments, **more):
    raise SystemExit(f"something ran at import: {arguments}")

socket.socket.connect = refuse
subprocess.Popen.__init__ = refuse
subprocess.Popen.__del__ = lambda self: None
import settingslint

for one in pkgutil.walk_packages(settingslint.__path__, "settingslint."):
    if one.name != "settingslint.__main__":
        __import__(one.name)
print("quiet")
"""


def test_no_import_runs_git_or_touches_the_network() -> None:
    result = subprocess.run(
        [sys.executable, "-c", WATCH], cwd=ROOT, capture_output=True, text=True, check=False,
        env={"PATH": "", "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert result.stdout == "quiet\n", result.stdout + result.stderr

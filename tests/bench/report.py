"""How long the pages of a large portfolio take: `python -m tests.bench.report [PLANTS] [--history]`.

Makes a portfolio of so many plants (2,000 where nothing is said), writes its pages with pictures and visit sheets by
`settingslint report`, then again after a change of one plant. Prints the seconds, the CPU seconds of all processes,
and the heaviest page. With `--history` the portfolio is a repository with three commits. Nothing is left behind.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.portfolio import make


def git(folder: Path, *words: str) -> None:
    """Run git in a folder."""
    who = ["-c", "user.name=R. Holm", "-c", "user.email=holm@example.org"]
    subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True)


def report(folder: Path, to: Path) -> tuple[float, float, str]:
    """Write the pages; return the seconds, the CPU seconds of the command with its processes, and what it said."""
    before, begin = os.times(), time.perf_counter()
    words = [sys.executable, "-m", "settingslint", "report", str(folder), "--to", str(to), "--as-of", "2026-11-25"]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    after, end = os.times(), time.perf_counter()
    cpu = after.children_user + after.children_system - before.children_user - before.children_system
    return end - begin, cpu, done.stdout.strip()


def change(files: list[Path], name: str) -> None:
    """Type another number for a setting in some profiles."""
    for file in files:
        text = re.sub(rf"^{name} = (\d+)$", rf"{name} = 1\1", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
        file.write_text(text, encoding="utf-8")


def main() -> None:
    """Make the portfolio, write its pages twice, print what it took."""
    count = next((int(word) for word in sys.argv[1:] if word.isdigit()), 2000)
    with tempfile.TemporaryDirectory() as folder:
        root, to = Path(folder) / "estate", Path(folder) / "pages"
        files = make(root, count)
        if "--history" in sys.argv:
            git(root, "init", "-q")
            for start in (0, 1):
                git(root, "add", "-A")
                git(root, "commit", "-q", "-m", f"visit {start}")
                change(files[start::2], "heating_differential")
            git(root, "add", "-A")
            git(root, "commit", "-q", "-m", "visit 2")
        for what in ("all of them", "again, one plant changed"):
            seconds, cpu, said = report(root, to)
            print(f"{what}: {seconds:.1f} s, {cpu:.1f} s CPU; {said.partition(':')[0]}", flush=True)
            change(files[:1], "pump_overrun")
        heaviest = max((to / "plants").iterdir(), key=lambda file: file.stat().st_size)
        print(f"heaviest plant page: {heaviest.stat().st_size / 1024:.1f} KiB")


if __name__ == "__main__":
    main()

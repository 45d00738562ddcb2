"""What `check` costs, beside what a user would take for the schema alone and beside parsing alone, in one run.

    python -m tests.bench.speed                      # 10,000 plants
    python -m tests.bench.speed --plants 1000        # a quick look
    python -m tests.bench.speed --plants 100000 --only cold,second     # memory and whether the cost is linear

Needs check-jsonschema (a schema checker that users know) beside the test packages. Each command runs as a user runs it,
its output to a file. Two ratios are printed: of wall time, and of processor time divided by the processors, which is
what the wall time comes to on a machine that does nothing else. Memory is the largest of the processes.
"""

from __future__ import annotations

import argparse
import compileall
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.bench.portfolio import make

ROOT: Final = Path(__file__).parents[2]
TOML: Final = "import sys, tomllib\nfor name in open(sys.argv[1]):\n    tomllib.load(open(name.rstrip(), 'rb'))"
SCHEMA_ALONE: Final = (
    "import sys; from check_jsonschema import main; names = open(sys.argv[1]).read().split();"
    " sys.argv[1:] = ['--schemafile', sys.argv[2], *names]; main()"
)
TARGETS: Final = {"cold": 0.5, "second": 0.05, "one changed": 0.06}
SHORT: Final = 9
"""Repeats of what takes less than a second; the quickest counts."""


@dataclass(frozen=True)
class Cost:
    """Wall seconds, processor seconds of all processes, and the memory of the largest, MiB."""

    wall: float
    processor: float
    memory: float


def measured(words: Sequence[str], environment: dict[str, str]) -> Cost:
    """Run a command as a child of a fresh process, so that memory is its own; its exit status may be 0 or 1."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begun = time.perf_counter()
    with tempfile.TemporaryFile() as out:
        # a shell in between: the largest child that is counted is then this one and none that ran before
        code = (
            "import resource, subprocess, sys; done = subprocess.call(sys.argv[1:]);"
            "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss, file=sys.stderr); sys.exit(done)"
        )
        done = subprocess.run(
            [sys.executable, "-S", "-c", code, *words], stdout=out, stderr=subprocess.PIPE, env=environment, check=False
        )
    wall = time.perf_counter() - begun
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):
        raise SystemExit(f"{words}: {done.stderr.decode(errors='replace')[-2000:]}")
    memory = int(done.stderr.split()[-1]) / 1024
    return Cost(wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, memory)


def quickest(words: Sequence[str], environment: dict[str, str]) -> Cost:
    """Return the least cost of several runs of a short command, without its memory."""
    costs = []
    for _ in range(SHORT):
        before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        done = subprocess.run(words, stdout=subprocess.DEVNULL, env=environment, check=False)
        wall, after = time.perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
        if done.returncode not in (0, 1):
            raise SystemExit(f"{words}: status {done.returncode}")
        costs.append(Cost(wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, 0))
    return min(costs, key=lambda cost: cost.processor)


def shown(name: str, cost: Cost, base: Cost, processors: int, target: float | None = None, alone: bool = False) -> str:
    """Return a line of the table; `base` is what it is compared with, `alone` says that both use one processor."""
    share = cost.processor / (1 if alone else processors) / base.processor
    line = (
        f"{name:34} {cost.wall:9.2f} {cost.processor:9.2f} {cost.memory:8.0f} {cost.wall / base.wall:9.3f} {share:9.3f}"
    )
    return line + (f"   target {target:g}" if target is not None else "")


def long_ones(folder: Path, count: int, only: Sequence[str], environment: dict[str, str]) -> None:
    """Measure checks of a whole portfolio."""
    begun = time.perf_counter()
    files = make(folder, count)
    size = sum(file.stat().st_size for file in files) / count
    print(f"{count:,} plants of {size:,.0f} bytes made in {time.perf_counter() - begun:.0f} s")
    names = folder / "names"
    names.write_text("\n".join(map(str, files)) + "\n", encoding="utf-8")
    schema = str(ROOT / "schemas" / "profile.schema.json")
    check = [sys.executable, "-m", "settingslint", "check", str(folder), "--as-of", "2026-11-25"]
    processors = len(os.sched_getaffinity(0))
    print(f"{'':34} {'wall s':>9} {'CPU s':>9} {'MiB':>8} {'by wall':>9} {f'by CPU/{processors}':>9}")
    base = measured([sys.executable, "-c", SCHEMA_ALONE, str(names), schema], environment)
    print(shown("check-jsonschema, profiles alone", base, base, 1), flush=True)
    print(shown("tomllib alone", measured([sys.executable, "-c", TOML, str(names)], environment), base, 1), flush=True)
    for name in only:
        if name == "one changed":
            one = files[count // 2]
            one.write_text(one.read_text(encoding="utf-8") + "# looked at again\n", encoding="utf-8")
        cost = measured(check, environment)
        # the second and third run in one process but for what has changed
        line = shown(name, cost, base, processors if name == "cold" else 1, TARGETS[name])
        print(line, flush=True)


def short_ones(folder: Path, environment: dict[str, str]) -> None:
    """Measure what a user waits for at a prompt."""
    profile = str(make(folder, 1)[0])  # alone at its site: of a site the others are read too
    python = sys.executable
    for name, words, base, target in (
        ("--version, beside python -c pass", ["-m", "settingslint", "--version"], "pass", 3.0),
        ("one profile, beside import typer", ["-m", "settingslint", "check", profile], "import typer", 2.5),
    ):
        floor = quickest([python, "-c", base], environment)
        print(shown(name, quickest([python, *words], environment), floor, 1, target, alone=True), flush=True)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plants", type=int, default=10_000)
    parser.add_argument("--only", default="cold,second,one changed", help="which of the checks, by commas")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="settingslint-bench-") as name:
        folder = Path(name)
        compileall.compile_dir(ROOT / "settingslint", quiet=1)  # as an installed package is
        environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONPATH": str(ROOT)}
        long_ones(folder / "estate", options.plants, options.only.split(","), environment)
        short_ones(folder / "ten", environment)
        shutil.rmtree(folder / "cache", ignore_errors=True)


if __name__ == "__main__":
    main()

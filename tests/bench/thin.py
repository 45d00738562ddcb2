"""What a check of thin records costs beside full ones, in one run: `python -m tests.bench.thin --plants 2000`.

Thin are the same plants with what one sees standing in front of the boiler. The target is twice a full check.
"""

from __future__ import annotations

import argparse
import compileall
import os
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Final

from tests.bench.portfolio import make, text_of
from tests.bench.speed import ROOT, Cost, measured
from tests.checking.thin import SEEN, stripped

TARGET: Final = 2.0
ROUNDS: Final = 3
"""Runs of each, one after the other; the cheapest counts."""


def thin(folder: Path, count: int) -> None:
    """Make a portfolio and strip every profile of it."""
    for file in make(folder, count):
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        file.write_text(text_of(stripped(data, SEEN)), encoding="utf-8")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plants", type=int, default=10_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="settingslint-bench-") as name:
        folder = Path(name)
        compileall.compile_dir(ROOT / "settingslint", quiet=1)
        environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONPATH": str(ROOT)}
        make(folder / "full", options.plants)
        thin(folder / "thin", options.plants)
        costs: dict[str, list[Cost]] = {"full": [], "thin": []}
        for _ in range(ROUNDS):
            for kind, own in costs.items():
                words = ["-m", "settingslint", "check", str(folder / kind), "--as-of", "2026-11-25", "--no-memory"]
                own.append(measured([sys.executable, *words], environment))
        best = {kind: min(own, key=lambda cost: cost.processor) for kind, own in costs.items()}
        for kind, cost in best.items():
            print(
                f"{kind}: {cost.processor / options.plants * 1000:.2f} ms of one processor a plant, {cost.wall:.1f} s"
            )
        print(f"thin beside full: {best['thin'].processor / best['full'].processor:.2f}, target {TARGET:g}")


if __name__ == "__main__":
    main()

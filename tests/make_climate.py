"""Makes the example portfolio's weather file: an invented year, not measured anywhere. `python -m tests.make_climate`.

A yearly wave, a daily wave and a wandering remainder from a fixed seed; the columns are the three of TMY3 CSV that are
read, so that the file stays small. The same text comes out each time.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

PLACE: Final = "SYNTHETIC - INVENTED YEAR - NOT MEASURED ANYWHERE"
FILE: Final = Path(__file__).parents[1] / "profiles" / "climate" / "synthetic-cool.csv"
SEED: Final = 1812
MEAN: Final = 9.4
YEARLY: Final = 11.8
DAILY: Final = 4.1
WANDERING: Final = 4.6
"""Standard deviation of what the two waves leave, K; it forgets within three days."""


def temperatures() -> Iterator[float]:
    """Yield 8,760 hourly temperatures, degrees Celsius, one decimal."""
    chance = random.Random(SEED)
    keep = math.exp(-1 / 36)
    rest = 0.0
    for hour in range(8760):
        # twelve uniform numbers make one nearly normal one; random() alone is the same on every version of Python
        rest = keep * rest + math.sqrt(1 - keep**2) * WANDERING * (sum(chance.random() for _ in range(12)) - 6.0)
        year = -math.cos(2 * math.pi * (hour / 24 - 19) / 365)
        day = -math.cos(2 * math.pi * (hour % 24 - 4) / 24)
        yield round(MEAN + YEARLY * year + DAILY * (0.8 + 0.3 * year) * day + rest, 1)


def text() -> str:
    """Return the file's text."""
    rows = [f'000000,"{PLACE}",XX,0.0,0.000,0.000,0', "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)"]
    start = datetime(2001, 1, 1)
    for hour, temperature in enumerate(temperatures()):
        rows.append(f"{start + timedelta(hours=hour):%m/%d/%Y},{hour % 24 + 1:02}:00,{temperature:.1f}")
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(text(), encoding="utf-8", newline="\n")

"""Hours of outdoor temperature from an hourly weather file."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours in each bin of outdoor temperature: (lower edge, C; hours), bins of 1 K."""

    bins: tuple[tuple[float, int], ...]

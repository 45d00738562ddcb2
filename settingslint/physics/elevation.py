"""Input against elevation: the two readings in use of one rule. Both are shown and neither is decided for."""

from __future__ import annotations

from typing import Final

from settingslint.physics import within

FROM_M: Final = 2000 * 0.3048
"""The rating stands up to 2,000 ft."""


def derate(elevation_m: float) -> tuple[float, float]:
    """Return the share of the rating that is left, counted from the sea and counted only above 2,000 ft.

    4 % for each 1,000 ft, unchanged up to 2,000 ft. The listing and the local rule govern.

    Args:
        elevation_m: -500 to 5,000 m.

    Raises:
        OutOfRange: outside that range.

    Source: NFPA 54, table on input and elevation (second-hand; two readings in use).

    >>> tuple(round(one, 2) for one in derate(6000 * 0.3048))
    (0.76, 0.84)
    """
    feet = within("elevation_m", elevation_m, -500.0, 5000.0) / 0.3048
    if elevation_m <= FROM_M + 1e-9:
        return 1.0, 1.0
    return 1.0 - 0.04 * feet / 1000.0, 1.0 - 0.04 * (feet - 2000.0) / 1000.0

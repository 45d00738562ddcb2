"""What keeping a plate warm costs: its standing loss times the hours it is held."""

from __future__ import annotations

from typing import Final

from settingslint.physics import within

STANDING_LOSS_W: Final = 100.0
"""Order of magnitude of a plate kept warm, W: UK SAP table 3a, 600 to 900 kWh a year, is 68 to 103 W (second-hand)."""


def loss(standing_loss_w: float, hours: float) -> float:
    """Return the heat that is lost, kWh.

    Args:
        standing_loss_w: 0 to 10,000 W.
        hours: 0 to 8,784.

    Raises:
        OutOfRange: outside these ranges.

    Source: definition.

    >>> loss(150.0, 8760.0)
    1314.0
    """
    return within("standing_loss_w", standing_loss_w, 0, 1e4) * within("hours", hours, 0, 8784) / 1000.0

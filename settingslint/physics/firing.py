"""Input against fan speed, between the two points that a control file states, and no further. About, never exact."""

from __future__ import annotations

from settingslint.physics import above, below, within


def input_at(fan_speed: float, low: tuple[float, float], high: tuple[float, float]) -> float:
    """Return about what the burner takes in at a fan speed, W: straight between two stated points.

    Real fans have an offset and flue pressure moves it: a figure to look at, not one of record.

    Args:
        fan_speed: in the unit of the two points.
        low: (fan speed, input W) at low fire.
        high: (fan speed, input W) at high fire.

    Raises:
        OutOfRange: for a speed outside the two points, or points in the wrong order or below 0.

    Source: fan laws, flow in proportion to speed, at a constant share of air (engineering, no table).

    >>> input_at(3000.0, (1000.0, 6000.0), (5000.0, 30000.0))
    18000.0
    """
    below("low fan speed", low[0], 0.0, high[0])
    within("fan_speed", fan_speed, low[0], high[0])
    return low[1] + (high[1] - low[1]) * (fan_speed - low[0]) / (high[0] - low[0])


def turndown(input_low_w: float, input_high_w: float) -> float:
    """Return high fire divided by low fire.

    Args:
        input_low_w: W, above 0.
        input_high_w: W, not below low fire.

    Raises:
        OutOfRange: for inputs not above 0 or in the wrong order.

    Source: definition.

    >>> turndown(6000.0, 30000.0)
    5.0
    """
    above("input_low_w", input_low_w, 0.0, 1e12)
    return within("input_high_w", input_high_w, input_low_w, 1e12) / input_low_w

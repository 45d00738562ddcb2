"""What the tests of the formulas share."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from settingslint.physics import OutOfRange


def refuses(
    argument: str,
    call: Callable[[], object],
    value: float | None = None,
    between: tuple[float, float] | None = None,
) -> None:
    """Assert that a call names that argument as out of range, with its value and the range in the message."""
    with pytest.raises(OutOfRange) as caught:
        call()
    assert caught.value.argument == argument
    assert str(caught.value).startswith(f"{argument} = {caught.value.value:g} lies outside ")
    assert str(caught.value).endswith(f" {caught.value.low:g} to {caught.value.high:g}")
    if value is not None:
        assert caught.value.value == value
    if between is not None:
        assert (caught.value.low, caught.value.high) == between


def ends(argument: str, call: Callable[[float], object], low: float | None, high: float | None) -> None:
    """Assert that a call takes both ends of a range and not-a-number nowhere, and names the argument beyond them."""
    for end, beyond in ((low, -math.inf), (high, math.inf)):
        if end is not None:
            call(end)
            with pytest.raises(OutOfRange) as caught:
                call(beyond)
            assert end == (caught.value.low if beyond < 0 else caught.value.high)
            outside = math.nextafter(end, beyond)
            refuses(argument, lambda outside=outside: call(outside), outside)  # type: ignore[misc]
            refuses(argument, lambda beyond=beyond: call(beyond), beyond)  # type: ignore[misc]
    refuses(argument, lambda: call(math.nan))


def open_end(argument: str, call: Callable[[float], object], end: float, inside: float) -> None:
    """Assert that a call refuses the end itself, names it as the end, and takes a value inside."""
    call(inside)
    with pytest.raises(OutOfRange) as caught:
        call(end)
    assert end in (caught.value.low, caught.value.high)
    refuses(argument, lambda: call(end), end)

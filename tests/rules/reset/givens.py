"""What the tests of the reset rules share: a heated floor, and controls that change what is typed."""

from __future__ import annotations

from typing import Any, Final

FLOOR: Final[dict[str, Any]] = {
    "name": "slab", "kind": "heated floor", "design_supply": 104, "design_return": 90, "maximum_supply": 120,
    "mixed": False,
}  # fmt: skip

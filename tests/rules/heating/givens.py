"""What the tests of the heating rules share: emitters."""

from __future__ import annotations

from typing import Any, Final

from tests.rules.kit import PROFILE

RADIATOR: Final[dict[str, Any]] = PROFILE["emitter"][0]
FLOOR: Final[dict[str, Any]] = {
    "name": "slab", "kind": "heated floor", "design_supply": 104, "design_return": 90, "maximum_supply": 120,
    "mixed": False,
}  # fmt: skip

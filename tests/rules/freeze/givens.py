"""What the tests of the freezing rules share."""

from __future__ import annotations

from typing import Final

BY_MASS: Final = {
    "water.fluid": "propylene glycol", "water.glycol_percent": 45, "water.glycol_by": "mass",
    "water.tested": "2026-10-01",
}  # fmt: skip

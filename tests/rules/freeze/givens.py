# ruff: noqa: E501
"""What the tests of the freezing rules share: glycol by mass, and protection that is off."""

from __future__ import annotations

from typing import Final

BY_MASS: Final = {
    "water.fluid": "propylene glycol", "water.glycol_percent": 45, "water.glycol_by": "mass", "water.tested": "2026-10-01",
}  # fmt: skip

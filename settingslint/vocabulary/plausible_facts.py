"""What facts can plausibly be where nobody recorded them: see `plausible.py`."""

from __future__ import annotations

from typing import Final

from settingslint.vocabulary.plausible import Choice, Span
from settingslint.vocabulary.sources import COMMON_PRACTICE

# fmt: off
ROWS: Final[tuple[Span | Choice, ...]] = (
    Span("building.balance_point", 55, 62, 68, COMMON_PRACTICE),
    Span("emitter.design_supply", 160, 180, 190, COMMON_PRACTICE, {"emitter.kind": ("finned tube",)}),
    Span("emitter.design_return", -30, -20, -10, COMMON_PRACTICE, of="emitter.design_supply"),
    Choice("emitter.mixed", False, COMMON_PRACTICE, {"emitter.kind": ("finned tube",)}),
    Choice("hot_water.mixing_valve", None, "asked: people are scalded"),
)
# fmt: on

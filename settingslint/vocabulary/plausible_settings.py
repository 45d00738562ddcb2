"""What settings can plausibly be where nobody recorded them: see `plausible.py`.

A setting that is not recorded may be at the control's default, which is then its usual value, and lies within the
control's range.
"""

from __future__ import annotations

from typing import Final

from settingslint.vocabulary.plausible import Choice, Span
from settingslint.vocabulary.sources import COMMON_PRACTICE

# fmt: off
ROWS: Final[tuple[Span | Choice, ...]] = (
    Choice("reset", True, COMMON_PRACTICE, {"accessories.outdoor_sensor": (True,)}),
    Choice("reset", False, COMMON_PRACTICE, {"accessories.outdoor_sensor": (False,)}),
    Choice("reset", None, COMMON_PRACTICE),
    Span("heating_differential", 5, 15, 30, COMMON_PRACTICE),
)
# fmt: on

"""How a missing setting or fact is asked for, and what it costs to know."""

from __future__ import annotations

from enum import StrEnum
from typing import Final, NamedTuple


class Learned(StrEnum):
    """How something that nobody recorded gets known, the least work first."""

    SEEN = "seen at the boiler"
    READ = "read at the control"
    PLATE = "on a plate or in the papers"
    ASKED = "asked"
    MEASURED = "measured"
    CALCULATED = "calculated"


class Question(NamedTuple):
    """The question about one setting or fact, in the words of a technician, with its question mark."""

    name: str
    text: str
    learned: Learned


SEEN, READ, PLATE, ASKED, MEASURED, CALCULATED = Learned

# fmt: off
_ROWS: Final = (
    Question("hot_water.mixing_valve", "Is there a mixing valve at the tank?", SEEN),
    Question("emitter", "What gives the heat: radiators, baseboard, heated floor?", SEEN),
)
# fmt: on
QUESTIONS: Final[dict[str, Question]] = {row.name: row for row in _ROWS}

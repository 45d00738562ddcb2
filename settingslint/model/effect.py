"""What came of one setting: typed, stored, effective, and the sentences that say why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from settingslint.model.values import Value

EFFECTIVE: Final = "effective"
IGNORED: Final = "ignored"
NOT_APPLICABLE: Final = "not applicable"
PROVISIONAL: Final = "provisional"
UNKNOWN: Final = "unknown"
NOT_RECORDED: Final = "not recorded"

SAID: Final = "said not to apply"
"""The reason of `NOT_APPLICABLE` where only the profile says so, and the control has it and what it needs."""

OBSERVED: Final = "observed"
READ_BACK: Final = "read back"
CANT_BE: Final = "can't be"
"""Reasons that the boiler gives: seen in a log; shown and not explained; shown, though by the file it can't be."""

TOLERANCE: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a value became another: the step's name and a sentence in the profile's units.

    `clause` is what the control file says against a value that was read back, without the rest of the sentence.
    """

    kind: str
    text: str
    clause: str = ""


@dataclass(frozen=True, slots=True)
class Effect:
    """One setting resolved. Values are SI.

    `typed` is what the profile says it was set to; `stored` what the control keeps and, unless it hides that, shows;
    `effective` what the boiler runs at, None where it is unknown or has no effect; `state` one of the words above;
    `candidates` the values of which it runs at one, where what was read back contradicts the control file and nobody
    knows which of the two is true.
    """

    setting: str
    typed: Value | None
    stored: Value | None
    effective: Value | None
    state: str
    reasons: tuple[Reason, ...] = ()
    at_default: bool = False
    unit: str | None = None
    band: tuple[float, float] | None = None
    candidates: tuple[Value, ...] = ()

    @property
    def known(self) -> bool:
        """Whether the effective value is known."""
        return self.effective is not None and self.state in (EFFECTIVE, PROVISIONAL)

    @property
    def contradicted(self) -> bool:
        """Whether what was read back at the boiler is not what the control file leads to expect."""
        return any(reason.kind in (READ_BACK, CANT_BE) for reason in self.reasons)

    @property
    def changed(self) -> bool:
        """Whether the boiler runs at something else than what was typed."""
        return self.known and self.typed is not None and not same(self.typed, self.effective)


def same(one: Value | None, other: Value | None) -> bool:
    """Return whether two values are the same, numbers within rounding."""
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, (float, int)) and isinstance(other, (float, int)):
        return abs(one - other) <= TOLERANCE * max(1.0, abs(one), abs(other))
    return one == other

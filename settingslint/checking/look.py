"""One rule looks at one plant: what it found, what it lacks, and everything that it asked for."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from settingslint.checking.faults import fault
from settingslint.model.values import Problem
from settingslint.physics import OutOfRange
from settingslint.rules.base import DoesNotApply, Draft, Missing
from settingslint.rules.past import HISTORY
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule
from settingslint.units import rounded


@dataclass(slots=True)
class Outcome:
    """What one rule says of one plant, with everything it looked at."""

    drafts: list[Draft]
    missing: list[Missing]
    applies: bool
    touched: set[str]
    weak: tuple[str, ...]
    owner_numbers: set[str]
    fault: Problem | None = None


def run(rule: Rule, plant: Plant) -> Outcome:
    """Return what one rule says of one plant, with everything it looked at."""
    asked = plant.asked
    asked.anew(by_rule=True)
    drafts: list[Draft] = []
    missing: list[Missing] = []
    applies = True
    failed: Problem | None = None
    try:
        for name, values in rule.only_if.items():
            if not plant.is_one_of(name, values):
                lacking = plant.in_doubt(asked.doubted)
                return Outcome(drafts, lacking, False, asked.names, (), asked.numbers)
        if rule.applies is not None and not rule.applies(plant):
            raise DoesNotApply(rule.name)
        missing += plant.lacks(rule.needs)
        if not missing:
            for item in rule.check(plant):
                if isinstance(item, Missing):
                    missing.append(item)
                else:
                    _showable(item, plant)
                    drafts.append(item)
    except Missing as lack:
        # without its traceback, which would hold the plant in a circle
        missing.append(Missing(lack.name, lack.why, lack.kind))
    except DoesNotApply:
        applies = bool(drafts)
    except OutOfRange as error:  # facts that contradict each other, outside what a formula can take
        missing.append(Missing(error.argument, str(error)))
    except (ArithmeticError, ValueError) as error:  # absurd numbers that no rule thought of: said, and never a pass
        at = next(iter(sorted(asked.names - {*rule.only_if, HISTORY})), rule.name)
        missing.append(Missing(at, f"can't be calculated from what is recorded: {error}"))
    except Exception as error:
        failed = fault(plant.profile.path, f"in the rule {rule.name}", error)
    if HISTORY in asked.names and plant.past is not None and plant.past.lost:
        missing.append(Missing(HISTORY, plant.past.why))  # whatever it found or not: there may be more to find
    missing += plant.in_doubt(asked.doubted - {lack.name for lack in missing})
    weak = tuple(plant.weak()) if drafts else ()
    return Outcome(drafts, missing, applies and failed is None, asked.names, weak, asked.numbers, failed)


def _showable(draft: Draft, plant: Plant) -> None:
    """Make sure that a proof can be shown in every form.

    Raises:
        ValueError: where a number is endless or none at all.
    """
    for name, quantity in draft.numbers.items():
        if not isfinite(rounded(quantity.value, quantity.kind, plant.system)):
            raise ValueError(f"{name} is beyond every range")

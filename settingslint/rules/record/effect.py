"""Rules of the record group about recorded values that the boiler does not run at, or that can't be."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import CANT_BE, UNKNOWN
from settingslint.model.held import bound_of
from settingslint.model.profile import PROPOSED
from settingslint.model.values import title_of
from settingslint.rules.base import (
    ASK,
    DANGER,
    OUTAGE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    found,
)
from settingslint.rules.entries import cautions_of, few, licensed, person_for, severity_of, typed_entries
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING, SETTINGS
from settingslint.vocabulary.sources import COMMON_PRACTICE, CONTROL_FILE

NOT_TAKEN: Final = ("refused", "outside the range")


@rule(
    "value-not-taken-by-control",
    severity=OUTAGE,
    cautions=("record",),
    source=CONTROL_FILE,
    trips=(
        'control.setting.heating_setpoint = { range = { low = 80, high = 180, outside = "refused" } }, '
        "settings.heating_setpoint = 181"
    ),
    passes="settings.heating_setpoint = 180",
)
def value_not_taken_by_control(plant: Plant) -> Drafts:
    """A recorded value is outside what the control takes: the boiler does not run at it.

    By the range in the control file. Where the control refuses such a value it keeps what it had before; where the
    file does not say what the control does, that is not known either.
    """
    for name, entry in typed_entries(plant):
        effect = plant.effects.get(name)
        if effect is None or effect.state != UNKNOWN or not effect.reasons:
            continue
        if effect.reasons[-1].kind not in NOT_TAKEN:
            yield Missing(name, effect.reasons[-1].text)
            continue
        refused = effect.reasons[-1].kind == "refused"
        told = "refused" if refused else "not known what it runs at"
        yield found(
            name,
            f"{title_of(name)} typed {plant.show(name, entry.typed)}{_takes(plant, name)}: {told}",
            {},
            "record what the control shows, then type a value that it takes",
            severity=min(severity_of(name), OUTAGE, key=lambda one: one.rank),  # nobody knows what it runs at
            cautions=cautions_of(name),
        )


def _takes(plant: Plant, name: str) -> str:
    """Return beyond which end of the control's range a value was typed; of firing and limits without the figure."""
    row, typed = plant.row(name), plant.typed(name)
    if row is None or not isinstance(typed, float) or licensed(name) or (bound := bound_of(row, typed)) is None:
        return ", out of range"
    return f", control takes at {'most' if typed > bound else 'least'} {plant.show(name, bound)}"


@rule(
    "calculated-not-set",
    severity=OUTAGE,
    cautions=("record",),
    source=COMMON_PRACTICE,
    trips=(
        "settings.heating_setpoint = { value = 165, "
        'why = "calculated from the recorded facts; not yet set at the boiler" }'
    ),
    passes='settings.heating_setpoint = { value = 165, read_back = 165, why = "calculated and set" }',
)
def calculated_not_set(plant: Plant) -> Drafts:
    """Values were calculated from the facts and recorded, and are not yet set at the boiler.

    Known by the reason that `calculate --write` leaves, until the value is read back or has another reason. The other
    findings are about the plant as it would be.
    """
    proposed = [
        name for name, entry in typed_entries(plant) if entry.why is not None and entry.why.startswith(PROPOSED)
    ]
    open_ = [name for name in proposed if plant.entries[name].read_back is None]
    if not proposed:
        raise DoesNotApply("nothing was calculated")
    if open_:
        yield found(
            open_[0],
            f"calculated and not yet set at the boiler: {few(open_)}",
            {"settings": Quantity(float(len(open_)), Kind.COUNT)},
            "set them at a visit and read them back; until then the old values are in the boiler",
        )


@rule(
    "read-back-contradicts-control-file",
    severity=DANGER,
    cautions=("record",),
    source=CONTROL_FILE,
    trips=(
        'control.setting.high_limit = { access = "factory", default = 206, read_back = "exact" }, '
        "settings.high_limit = { value = 206, read_back = 213 }"
    ),
    passes="settings.high_limit = { value = 206, read_back = 206 }",
)
def read_back_contradicts_control_file(plant: Plant) -> Drafts:
    """The boiler showed a value that the control file rules out: the file is wrong, or somebody changed it.

    What only the factory sets and is not as it came; what is beyond the range, between the steps, in a band that is
    ignored, or above what is allowed before the first firing. Not where the display shows what was typed, whatever the
    control keeps. As bad as the setting: danger for firing and limits.
    """
    read = [(name, entry) for name, entry in plant.entries.items() if entry.read_back is not None]
    if not read:
        raise DoesNotApply("nothing was read back")
    for name, entry in read:
        row, effect = plant.row(name), plant.effects.get(name)
        if row is None or row.treatments is None or effect is None:
            yield Missing(name, f"the control file does not say how it treats {title_of(name)}")
            continue
        why = [reason.clause for reason in effect.reasons if reason.kind == CANT_BE]
        if not why:
            continue
        remedy = "read it again; correct the control file, or find out who changed it"
        if licensed(name):
            last = "prove" if name in FIRING else "test"
            remedy = f"read it again; correct the file, or have a {person_for(name)} restore and {last} it"
        yield found(
            name,
            f"{title_of(name)} reads back {plant.show(name, entry.read_back)}: {', and '.join(why)}",
            {"read back": Quantity(entry.read_back, SETTINGS[name].kind)} if isinstance(entry.read_back, float) else {},
            remedy,
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


@rule(
    "said-not-to-apply",
    severity=DANGER,
    certainty=ASK,
    cautions=("record",),
    source=CONTROL_FILE,
    trips='settings.tank_setpoint = { left = "not applicable" }',
    passes="settings.tank_setpoint = 145",
)
def said_not_to_apply(plant: Plant) -> Drafts:
    """A setting is recorded as not applicable, though the control has it and this plant needs it.

    By the control file, with all that it needs there, and by the facts: a tank set point where the tank is the
    boiler's, with a sensor. Without its value, what rests on it is not checked. As bad as the setting: danger for
    scald, hygiene, firing and limits.
    """
    said = [name for name, entry in plant.entries.items() if entry.left == "not applicable"]
    if not said:
        raise DoesNotApply("nothing is recorded as not applicable")
    for name in filter(plant.said_not_to_apply, said):
        needed = plant.goes_with(name)
        if isinstance(needed, Missing):
            yield needed
        elif needed:
            yield found(
                name,
                f"{title_of(name)} is recorded as not applicable, but the control has it",
                {},
                "read it at the control and record it; if it is not there, correct the control file",
                severity=severity_of(name),
                cautions=cautions_of(name),
            )


RULES: Final[tuple[Rule, ...]] = (
    value_not_taken_by_control,
    calculated_not_set,
    read_back_contradicts_control_file,
    said_not_to_apply,
)

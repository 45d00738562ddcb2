"""Rules of the record group about values that are written down and not in force, or in force and not possible."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import CANT_BE, UNKNOWN
from settingslint.model.profile import PROPOSED
from settingslint.model.values import title_of
from settingslint.rules.base import (
    DANGER,
    OUTAGE,
    RESTORE_FIRING,
    RESTORE_LIMIT,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    found,
)
from settingslint.rules.entries import cautions_of, licensed, severity_of, typed_entries
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
    """A recorded value lies where the control takes none: it is not what the boiler obeys.

    By the range in the control file. Where the control refuses such a value, what it had before still stands; where the
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
        told = (
            "this control refuses it" if refused else "it lies outside the range, and what happens there is not known"
        )
        text = f"asked for {plant.show(name, entry.typed)}: {told}"
        yield found(
            name,
            text if licensed(name) else effect.reasons[-1].text.rstrip("."),
            {},
            "read what the control shows, and record that; then type a value that it takes",
            severity=min(severity_of(name), OUTAGE, key=lambda one: one.rank),  # nobody knows what it runs at
            cautions=cautions_of(name),
        )


@rule(
    "calculated-not-set",
    severity=OUTAGE,
    cautions=("record",),
    source=COMMON_PRACTICE,
    trips=(
        "settings.heating_setpoint = { value = 165, "
        'why = "calculated from the recorded facts; not yet set at the boiler" }'
    ),
    passes='settings.heating_setpoint = { value = 165, read_back = 165, why = "worked out and set" }',
)
def calculated_not_set(plant: Plant) -> Drafts:
    """Values were worked out from the facts and written down, and nobody has set them at the boiler yet.

    Told by the reason that `calculate --write` leaves, until the value is read back or carries another reason. The
    other findings speak of the plant as it would be.
    """
    proposed = [
        name for name, entry in typed_entries(plant) if entry.why is not None and entry.why.startswith(PROPOSED)
    ]
    open_ = [name for name in proposed if plant.entries[name].read_back is None]
    if not proposed:
        raise DoesNotApply("nothing was worked out")
    if open_:
        names = ", ".join(title_of(name) for name in open_[:4]) + (
            f" and {len(open_) - 4} more" if len(open_) > 4 else ""
        )
        yield found(
            open_[0],
            f"worked out and not set at the boiler yet: {names}",
            {"settings": Quantity(float(len(open_)), Kind.COUNT)},
            "set them at a visit and read them back; what is found until then is what was there before",
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
    """The boiler showed a value that by the control file it can't have: the file is wrong, or somebody changed it.

    What only the factory sets and is not as it came; what lies beyond the range, between the steps, in a band that is
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
        why = [reason.text for reason in effect.reasons if reason.kind == CANT_BE]
        if not why:
            continue
        restore = f" and {RESTORE_FIRING if name in FIRING else RESTORE_LIMIT}" if licensed(name) else ""
        clauses = ", and ".join(one.partition("; by the control file ")[2].rstrip(".") for one in why)
        yield found(
            name,
            f"{title_of(name)} read back as {plant.show(name, entry.read_back)}: {clauses}",
            {"read back": Quantity(entry.read_back, SETTINGS[name].kind)} if isinstance(entry.read_back, float) else {},
            f"read it again; correct the control file, or find out who changed it{restore}",
            severity=severity_of(name),
            cautions=cautions_of(name),
        )


RULES: Final[tuple[Rule, ...]] = (value_not_taken_by_control, calculated_not_set, read_back_contradicts_control_file)

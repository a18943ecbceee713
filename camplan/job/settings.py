"""The ``[[setting]]`` tables."""

from collections.abc import Sequence

from camplan.features.specs import Clamp, SettingSpec
from camplan.fields import Fields, quoted
from camplan.job.keys import LONGEST, later, length, line, names
from camplan.units import Mm

ONE = "one clamping"
"""The name of the setting of a job that has no settings."""
_MOST = 26


def read_settings(fields: Fields, *, features: Sequence[str], unit: Mm) -> tuple[SettingSpec, ...]:
    """All settings; one with every feature if there are none.  Every feature must be in one."""
    if not fields.has("setting"):
        fields.raw("setting")
        return (SettingSpec(name=ONE, features=tuple(features), clamps=()),)
    before = len(fields.problems)
    found = tuple(_setting(table, features=features, unit=unit) for table in fields.tables("setting"))
    if not found:
        if len(fields.problems) == before:
            fields.refuse("setting", "is empty", accepted="at least one setting; or leave it out")
        return ()
    if len(found) > _MOST:
        fields.refuse("setting", f"{len(found)} settings are too many", accepted=f"1 to {_MOST}")
    for place, setting in enumerate(found):
        if setting.name and setting.name in [other.name for other in found[:place]]:
            message = f"{quoted(setting.name)} is the name of another setting"
            fields.refuse(f"setting[{place + 1}].name", message, accepted="a name for each")
    missing = [name for name in features if not any(name in setting.features for setting in found)]
    for name in missing:
        message = f"feature {quoted(name)} is in no setting, so it would not be cut"
        fields.refuse("setting", message, accepted="its name in the features of a setting")
    return found


def _setting(fields: Fields, *, features: Sequence[str], unit: Mm) -> SettingSpec:
    later(fields, accepted={"about": "a plate that is cut from its top"})
    name = line(fields, "name")
    if fields.has("face") and fields.raw("face") == "back":
        fields.refuse("face", '"back" is not planned by this version', accepted="top")
    else:
        fields.choice("face", ("top",), default="top")
    chosen = names(fields, "features", among=features, what="feature")
    if chosen is None:
        fields.refuse("features", "is missing", accepted=", ".join(features) or "the names of features")
    clamps = tuple(_clamp(table, unit=unit) for table in fields.tables("clamps"))
    fields.finish()
    return SettingSpec(name=name, features=chosen or (), clamps=clamps)


def _clamp(fields: Fields, *, unit: Mm) -> Clamp:
    clamp = Clamp(
        x=length(fields, "x_mm", unit=unit, at_least=-LONGEST),
        y=length(fields, "y_mm", unit=unit, at_least=-LONGEST),
        width=length(fields, "width_mm", unit=unit, above=0.0),
        length=length(fields, "length_mm", unit=unit, above=0.0),
        height=length(fields, "height_mm", unit=unit, above=0.0),
    )
    fields.finish()
    return clamp

"""The ``[[setting]]`` tables."""

from collections.abc import Sequence

from camplan.features.specs import Axis, Clamp, FaceUp, SettingSpec, Zero
from camplan.fields import Fields, quoted
from camplan.job.keys import LONGEST, ZEROS, length, line, names
from camplan.units import Mm

ONE = "one clamping"
"""The name of the setting of a job that has no settings."""
_MOST = 26
_FACES: tuple[FaceUp, ...] = ("top", "back")
_AXES: tuple[Axis, ...] = ("x", "y")


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
    name = line(fields, "name")
    face = fields.choice("face", _FACES, default="top")
    about, zero = _turned(fields, back=face == "back")
    chosen = names(fields, "features", among=features, what="feature")
    if chosen is None:
        fields.refuse("features", "is missing", accepted=", ".join(features) or "the names of features")
    clamps = tuple(_clamp(table, unit=unit) for table in fields.tables("clamps"))
    fields.finish()
    return SettingSpec(name=name, features=chosen or (), clamps=clamps, face=face, about=about, zero=zero)


def _turned(fields: Fields, *, back: bool) -> tuple[Axis, Zero | None]:
    """How a plate is turned over, and where its zero is then."""
    for key in ("about", "zero"):
        if not back and fields.has(key):
            fields.raw(key)
            accepted = "[plate] zero for the top" if key == "zero" else 'face = "back" beside it'
            fields.refuse(key, "is for a plate that is turned over", accepted=f"{accepted}, or leave it out")
            return "y", None
    about = fields.choice("about", _AXES, default="y")
    zero = fields.choice("zero", ZEROS, default="front-left") if fields.has("zero") else None
    if zero is None:
        fields.raw("zero")
    return about, zero


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

"""Settings that turn the plate over: what they must agree on, and which features may be cut from both faces."""

from collections.abc import Sequence

from camplan import tolerance
from camplan.features.holds import Screw
from camplan.features.specs import FeatureSpec, HoleSpec, OutlineSpec, PlateSpec, PocketSpec, SettingSpec
from camplan.features.turned import OVERLAP
from camplan.fields import Fields, quoted

_BOTH = 'features that go through with straight walls: holes, pockets and outlines with depth = "through"'


def check_faces(
    fields: Fields, *, settings: Sequence[SettingSpec], features: Sequence[FeatureSpec], plate: PlateSpec
) -> None:
    """Refuse back settings that are not turned alike, and features that cannot be cut from both faces."""
    backs = [(place, setting) for place, setting in enumerate(settings, start=1) if setting.face == "back"]
    for place, setting in backs[1:]:
        first = backs[0][1]
        if (setting.about, setting.zero) != (first.about, first.zero):
            message = f"is turned otherwise than {quoted(first.name)}, so a seam between the two would not be sure"
            fields.refuse(f"setting[{place}].about", message, accepted="one about and one zero for all back settings")
    backed = {name for _, setting in backs for name in setting.features}
    topped = {name for setting in settings if setting.face == "top" for name in setting.features}
    for number, spec in enumerate(features, start=1):
        if spec.name in backed & topped and (why := _only_one_face(spec, plate=plate)):
            message = f"{quoted(spec.name)} is named in a top and in a back setting, and {why}"
            fields.refuse(f"feature[{number}]", message, accepted=f"{_BOTH}; or the settings of one face")


def _only_one_face(spec: FeatureSpec, *, plate: PlateSpec) -> str:
    """Why a feature cannot be cut half from either face; nothing if it can."""
    if not isinstance(spec, PocketSpec | OutlineSpec | HoleSpec):
        return "its kind has a floor, which one face alone can have"
    if spec.depth is not None and spec.depth < plate.thickness - tolerance.SAME_POINT:
        return "it has a floor, which one face alone can have"
    if spec.top > 0.0:
        return "it does not start at the plate's face"
    headless = isinstance(spec, HoleSpec) and isinstance(spec.holds, Screw) and spec.holds.head is None
    if isinstance(spec, HoleSpec) and spec.holds is not None and not headless:
        return "what it holds sits at one face, or would meet a seam between the two halves"
    if isinstance(spec, PocketSpec | OutlineSpec) and spec.draft > 0.0:
        return "its wall leans, which cannot be cut from below"
    if isinstance(spec, OutlineSpec) and spec.hold == "skin":
        return "a skin is left at one face alone"
    half = plate.thickness / 2.0
    if isinstance(spec, OutlineSpec) and spec.hold == "bridges" and spec.bridge_height + OVERLAP >= half:
        return f"its bridges of {spec.bridge_height:g} mm are too high for half the plate"
    return ""

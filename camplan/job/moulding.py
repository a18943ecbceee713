"""The ``[moulding]`` table: what the drawing does not say of the moulding."""

from collections.abc import Sequence

from camplan.features.specs import FaceSpec, FeatureSpec, MarkSpec, OutlineSpec
from camplan.fields import Fields, quoted
from camplan.job.keys import line, names, optional_length
from camplan.moulding.records import MouldingSpec
from camplan.units import N_PER_KN, Mm

_ROLES = ("cavity", "runners", "gates", "vents")
_MOST_KN = 100_000.0
_WARMEST_C = 400.0


def read_moulding(fields: Fields, *, specs: Sequence[FeatureSpec], unit: Mm) -> MouldingSpec | None:
    """The table, or None if the job has none; lengths in the file are in units of ``unit`` mm."""
    if not fields.has("moulding"):
        fields.raw("moulding")
        return None
    table = fields.table("moulding")
    roles = {role: _role(table, role, specs=specs) for role in _ROLES}
    said: dict[str, str] = {}
    for role, wanted in roles.items():
        for name in wanted or ():
            if name in said:
                table.refuse(role, f"{quoted(name)} stands in {said[name]} already", accepted="each in one of them")
            said.setdefault(name, role)
    spec = MouldingSpec(
        plastic=line(table, "plastic") if table.has("plastic") else None,
        wall=optional_length(table, "wall_mm", unit=unit, above=0.0),
        press=table.number("press_kn", above=0.0, at_most=_MOST_KN) * N_PER_KN if table.has("press_kn") else None,
        ejection=table.number("ejection_c", above=0.0, at_most=_WARMEST_C) if table.has("ejection_c") else None,
        shots=table.count("shots", at_least=1) if table.has("shots") else None,
        cavity=roles["cavity"],
        runners=roles["runners"],
        gates=roles["gates"],
        vents=roles["vents"],
    )
    table.finish(known=("plastic", "press_kn", "ejection_c", "shots"))
    return spec


def _role(table: Fields, key: str, *, specs: Sequence[FeatureSpec]) -> tuple[str, ...] | None:
    wanted = names(table, key, among=[spec.name for spec in specs], what="feature")
    without = {spec.name for spec in specs if isinstance(spec, FaceSpec | MarkSpec | OutlineSpec)}
    for name in wanted or ():
        if name in without:
            table.refuse(key, f"{quoted(name)} is no pocket, groove or hole", accepted="what plastic or air goes into")
    return wanted

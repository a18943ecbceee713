"""The ``[shrinkage]`` table."""

from collections.abc import Sequence

from camplan.catalogue.plastics import MOST_SHRINKAGE
from camplan.catalogue.reading import is_number
from camplan.features.specs import FaceSpec, FeatureSpec
from camplan.fields import Fields, quoted
from camplan.job.keys import LONGEST, line, names
from camplan.moulding.shrinkage import Measured, OfPlastic, Origin, ShrinkageSpec, SizePair, Stated, fitted
from camplan.units import PERCENT, Mm

_MOST = PERCENT * MOST_SHRINKAGE
_WAYS = "percent, sizes_mm or plastic; or x_percent and y_percent, or sizes_x_mm and sizes_y_mm"
_BOTH = ("percent", "sizes_mm")
_APART = (("x_percent", "sizes_x_mm"), ("y_percent", "sizes_y_mm"))
_PAIRS = "pairs [cut, moulded], such as [[40.0, 39.36], [62.5, 61.5]]"


def read_shrinkage(fields: Fields, *, specs: Sequence[FeatureSpec], unit: Mm) -> ShrinkageSpec | None:
    """The table, or None if the job has none; lengths in the file are in units of ``unit`` mm."""
    if not fields.has("shrinkage"):
        fields.raw("shrinkage")
        return None
    table = fields.table("shrinkage")
    plastic = line(table, "plastic") if table.has("plastic") else None
    x, y = _origins(table, plastic=plastic, unit=unit)
    wanted = names(table, "features", among=[spec.name for spec in specs], what="feature")
    if wanted is None:
        accepted = ", ".join(spec.name for spec in specs if not isinstance(spec, FaceSpec)) or "the names of features"
        table.refuse("features", "is missing: say what the plastic fills", accepted=accepted)
    for name in wanted or ():
        if any(spec.name == name and isinstance(spec, FaceSpec) for spec in specs):
            table.refuse(
                "features", f"{quoted(name)} is a face, and nothing is moulded in it", accepted="pockets, grooves, ..."
            )
    spec = ShrinkageSpec(
        x=x,
        y=y,
        features=wanted or (),
        about=_about(table, unit=unit),
        depths=table.flag("depths", default=False),
        plastic=plastic,
    )
    table.finish(known=(*_BOTH, *_APART[0], *_APART[1], "plastic"))
    return spec


def _origins(table: Fields, *, plastic: str | None, unit: Mm) -> tuple[Origin, Origin]:
    """Where the shares along X and Y come from; a stand-in with the problem if that is said in no way or in two."""
    both = [key for key in _BOTH if table.has(key)]
    apart = [[key for key in keys if table.has(key)] for keys in _APART]
    said = [*both, *apart[0], *apart[1]]
    if both and len(said) == 1:
        one = _origin(table, both[0], unit=unit)
        return one, one
    if not both and len(apart[0]) == len(apart[1]) == 1:
        return _origin(table, apart[0][0], unit=unit), _origin(table, apart[1][0], unit=unit)
    for key in said:
        table.raw(key)
    if not said and plastic is not None:
        return OfPlastic(), OfPlastic()
    if not said:
        table.refuse("percent", "is missing: nothing says how much the plastic shrinks", accepted=_WAYS)
    elif len(said) == 1:
        other = _APART[1] if apart[0] else _APART[0]
        table.refuse(said[0], "stands for one direction alone", accepted=f"{other[0]} or {other[1]} beside it")
    else:
        table.refuse(said[1], f"stands beside {said[0]}", accepted=_WAYS)
    return OfPlastic(), OfPlastic()


def _origin(table: Fields, key: str, *, unit: Mm) -> Origin:
    if key.endswith("percent"):
        return Stated(share=table.number(key, at_least=0.0, at_most=_MOST) / PERCENT)
    pairs = _pairs(table, key, unit=unit)
    if not pairs:
        return OfPlastic()
    share = fitted(pairs).share
    if share > MOST_SHRINKAGE:
        message = f"these pairs give {PERCENT * share:.2f} %, and no plastic shrinks so much"
        table.refuse(key, message, accepted=f"0 to {_MOST:g} %; {_PAIRS}")
    return Measured(pairs=pairs)


def _pairs(table: Fields, key: str, *, unit: Mm) -> tuple[SizePair, ...]:
    """Pairs of a cut and a moulded size; none, with the problems, if any is wrong."""
    value = table.raw(key)
    if not isinstance(value, list) or not value:
        table.refuse(key, f"must be a list of pairs, not {quoted(value)}", accepted=_PAIRS)
        return ()
    before = len(table.problems)
    found = []
    for number, pair in enumerate(value, start=1):
        if not isinstance(pair, list) or len(pair) != 2 or not all(is_number(item) for item in pair):
            table.refuse(f"{key}[{number}]", f"{quoted(pair)} is no pair of sizes", accepted=_PAIRS)
            continue
        cut, moulded = float(pair[0]), float(pair[1])
        if not (0.0 < cut * unit <= LONGEST and moulded > 0.0):
            table.refuse(f"{key}[{number}]", f"{quoted(pair)} is impossible", accepted="sizes above 0")
        elif moulded > cut:
            message = f"the moulding of {moulded:g} is larger than the cavity of {cut:g} that it was moulded in"
            table.refuse(
                f"{key}[{number}]", message, accepted="the cut size first, then the smaller one of the moulding"
            )
        else:
            found.append(SizePair(cut=cut * unit, moulded=moulded * unit))
    return tuple(found) if len(table.problems) == before else ()


def _about(table: Fields, *, unit: Mm) -> tuple[Mm, Mm] | None:
    if not table.has("about"):
        table.raw("about")
        return None
    value = table.raw("about")
    if value == "centre":
        return None
    if not isinstance(value, list) or len(value) != 2 or not all(is_number(item) for item in value):
        table.refuse("about", f"{quoted(value)} is no place", accepted='"centre", or [x, y] in the drawing')
        return None
    x, y = float(value[0]) * unit, float(value[1]) * unit
    if max(abs(x), abs(y)) > LONGEST:
        table.refuse("about", f"{quoted(value)} is too far away", accepted=f"within {LONGEST / unit:g}")
        return None
    return x, y

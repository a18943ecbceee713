"""Why holes that hold something have the sizes that they have."""

from dataclasses import replace

from camplan.cutting.records import Reason
from camplan.features.holds import Magnet, Screw, Thread
from camplan.features.records import Feature
from camplan.features.specs import HoleSpec
from camplan.operations.records import Operation
from camplan.operations.shop import why
from camplan.units import UM_PER_MM, Mm

_CUSTOM = "CP: common practice, no source"


def with_size(operations: tuple[Operation, ...], *, feature: Feature, diameter: Mm) -> tuple[Operation, ...]:
    """The operations, the last of which says why the holes of a diameter have that size."""
    reasons = _size(feature, diameter=diameter)
    if not operations or not reasons:
        return operations
    last = operations[-1]
    return (*operations[:-1], replace(last, reasons=(*reasons, *last.reasons)))


def _size(feature: Feature, *, diameter: Mm) -> tuple[Reason, ...]:
    match feature.spec:
        case HoleSpec(holds=Thread(size=size)):
            sentence = (
                f"{size.drill:g} mm for {size.name}: within {size.least:g} to {size.most:g} mm, the minor diameter of "
                "a 6H thread"
            )
            return (why("size", sentence, source=f"{size.drill_source}; {size.least_source}; {size.most_source}"),)
        case HoleSpec(holds=Screw(size=size, head=head)) if head is not None and diameter == size.bore:
            deep = head - feature.top
            sentence = (
                f"{diameter:g} mm clears the head of {size.name}, {size.head:g} mm at most; {deep:g} mm deep for its "
                f"{size.height:g} mm"
            )
            return (why("size", sentence, source=f"{size.bore_source}; {size.head_source}; {_CUSTOM}"),)
        case HoleSpec(holds=Screw(size=size, series=series)):
            sentence = f"{diameter:g} mm: the {series} clearance hole of {size.name}"
            return (why("size", sentence, source=size.clearance_source),)
        case HoleSpec(holds=Magnet(gap=gap)):
            said = "wider" if gap > 0.0 else "narrower"
            sentence = (
                f"{diameter:.3f} mm: {abs(gap) * UM_PER_MM:g} um {said} than the magnet; milled, for a flat floor"
            )
            return (why("size", sentence, source=_CUSTOM),)
        case _:
            return ()

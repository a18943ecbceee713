"""Plates that belong together, laid over each other as they close: a picture as SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from camplan.pairing.laying import laid_feature, laid_plate
from camplan.pairing.patterns import off_centre
from camplan.pairing.records import Pairing, Placed
from camplan.report.annotations import Frame, left_marks
from camplan.report.pictures import ACROSS, LIMIT, svg, within
from camplan.report.shapes import feature_lines, feature_shape, plate_lines, plate_shape
from camplan.report.style import DATUM, DEPTHS, INK, LEFT
from camplan.units import Mm

COLOURS = (INK, DATUM, LEFT, *DEPTHS[:3])
"""Of the first plate, the second, and so on; the last again for all that follow."""
MARKS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A fault's letter and its place in common coordinates."""

    letter: str
    at: tuple[Mm, Mm]


def colour_of(number: int) -> str:
    """The colour of a plate, counted from 0."""
    return COLOURS[min(number, len(COLOURS) - 1)]


def fault_marks(pairing: Pairing) -> tuple[Mark, ...]:
    """A letter for each place where a pattern or a mating is not as asked, as many as there are letters."""
    lies = {plate.spec.name: plate.lie for plate in pairing.plates}
    places: list[tuple[Mm, Mm]] = []
    for pattern in pairing.patterns:
        for held in pattern.held:
            places += [pair.other.at for pair in held.pairs if off_centre(pair, within=pattern.spec.within)]
            places += [one.at for one in (*held.missing, *held.extra)]
    for mating in pairing.matings:
        codes = {finding.code for finding in mating.findings}
        lie = lies[mating.spec.cavity.plate]
        if mating.gaps and codes & {"gap-too-narrow", "core-meets-wall"}:
            places.append(lie.common(min(mating.gaps, key=lambda gap: gap.least).least_at))
        if mating.gaps and "gap-too-wide" in codes:
            places.append(lie.common(max(mating.gaps, key=lambda gap: gap.most).most_at))
    once = dict.fromkeys((round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in places)
    return tuple(Mark(letter=letter, at=at) for letter, at in zip(MARKS, once, strict=False))


def overlay_picture(pairing: Pairing, *, limit: int = LIMIT) -> str:
    """The first plate as a surface, the others as lines over it, and a letter at each fault."""
    boxes = [laid_plate(plate.plate, lie=plate.lie).bounds for plate in pairing.plates]
    x0, y0 = min(box[0] for box in boxes), min(box[1] for box in boxes)
    x1, y1 = max(box[2] for box in boxes), max(box[3] for box in boxes)
    edge = 0.04 * max(x1 - x0, y1 - y0)
    frame = Frame(x0=x0 - edge, y0=y0 - edge, x1=x1 + edge, y1=y1 + edge)
    first, *others = pairing.plates

    def drawn(step: Mm) -> str:
        parts = [_surface(first, step=step)]
        parts += [_lines(plate, colour=colour_of(number), step=step) for number, plate in enumerate(others, start=1)]
        return "".join(parts)

    body = within(limit, drawn, step=frame.width / ACROSS)
    body += left_marks({mark.letter: mark.at for mark in fault_marks(pairing)}, size=0.03 * frame.width)
    return svg(body, frame=frame, said=f"{_named(pairing.plates)} laid over each other, seen from above.")


def overlay_key(pairing: Pairing) -> str:
    """Which colour is which plate, and how it lies."""
    items = "".join(
        f'<li><i style="color:{colour_of(number)}"></i>{escape(plate.spec.name)}, {escape(lies_said(plate))}</li>'
        for number, plate in enumerate(pairing.plates)
    )
    return f'<ul class="key">{items}</ul>'


def lies_said(plate: Placed) -> str:
    """How a plate lies over the others: "as drawn" or "mirrored about y"."""
    return f"mirrored about {plate.spec.about}" if plate.spec.about is not None else "as drawn"


def _surface(plate: Placed, *, step: Mm) -> str:
    features = [laid_feature(feature, lie=plate.lie) for feature in plate.features]
    return plate_shape(laid_plate(plate.plate, lie=plate.lie), step=step) + "".join(
        feature_shape(feature, step=step, here=True) for feature in features
    )


def _lines(plate: Placed, *, colour: str, step: Mm) -> str:
    features = [laid_feature(feature, lie=plate.lie) for feature in plate.features]
    return plate_lines(laid_plate(plate.plate, lie=plate.lie), step=step, colour=colour) + "".join(
        feature_lines(feature, step=step, colour=colour) for feature in features
    )


def _named(plates: Sequence[Placed]) -> str:
    return " and ".join(plate.spec.name for plate in plates)

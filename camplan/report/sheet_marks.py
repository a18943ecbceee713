"""The part of the sheet that says how the plate is found again once it was taken off."""

from html import escape

from camplan.features.marks import Mark, marks_of
from camplan.features.specs import MarkSpec
from camplan.planned import Plan
from camplan.recut.proposals import best_known, error_with, proposed_marks
from camplan.report.sheet_parts import Column, table
from camplan.report.words import features_by_name, micrometres, place
from camplan.units import Mm

SIGMA: Mm = 0.020
"""What an edge finder by hand measures a coordinate to (common practice, no source)."""
_SHOWN = 12


def marks_part(plan: Plan) -> str:
    """A section with the marks by name and the command that uses them, or places where marks would serve."""
    features = tuple(features_by_name(plan).values())
    marks = marks_of(features)
    crosses = [mark for mark in marks if _is_cross(mark, plan=plan)]
    proposed = proposed_marks(features, plate=plan.plate, settings=plan.settings)
    body = _known(crosses or list(marks), plan=plan)
    if proposed:
        body += _proposal(proposed, plan=plan)
    return f"<section><h2>Finding the plate again</h2>{body}</section>" if body else ""


def _is_cross(mark: Mark, *, plan: Plan) -> bool:
    return isinstance(features_by_name(plan)[mark.feature].spec, MarkSpec)


def _known(marks: list[Mark], *, plan: Plan) -> str:
    if len(marks) < 2:
        return ""
    pair = best_known([features_by_name(plan)[name] for name in dict.fromkeys(mark.feature for mark in marks)])
    ends = _ends(plan)
    places = [(mark.x, mark.y) for mark in marks if mark.name in pair]
    off = error_with(places, at=ends, sigma=SIGMA)
    said = (
        "To cut the plate again after it was taken off, clamp it as it comes, find two of these or more with an edge "
        "finder, a probe or a microscope in the spindle, and type their machine coordinates: "
    )
    command = "camplan locate OUT " + " ".join(f'--mark "{name}" X Y' for name in pair)
    rows = [(mark.name, place((mark.x, mark.y))) for mark in marks[:_SHOWN]]
    more = f" Another {len(marks) - _SHOWN} stand in plan.json." if len(marks) > _SHOWN else ""
    columns = (Column(heading="Mark", lead=True), Column(heading="On the plate"))
    return (
        f"<p>{escape(said)}<code>{escape(command)}</code>. With these two, each found to {micrometres(SIGMA)} µm, the "
        f"plate's farthest corner is known to {micrometres(off)} µm an axis.{escape(more)}</p>{table(columns, rows)}"
    )


def _proposal(places: tuple[tuple[Mm, Mm], ...], *, plan: Plan) -> str:
    ends = _ends(plan)
    off = error_with(places, at=ends, sigma=SIGMA)
    said = (
        "The plate has no crosses to be found by. Bare places far apart and clear of the clamps, counted from the "
        f"plate's zero: {'; '.join(place(at) for at in places)}. Points drawn there on a layer of their own, in a "
        f'feature of kind = "mark", would say where the plate lies to {micrometres(off)} µm an axis at its farthest '
        f"corner, each found to {micrometres(SIGMA)} µm."
    )
    return f"<p>{escape(said)}</p>"


def _ends(plan: Plan) -> list[tuple[Mm, Mm]]:
    x0, y0, x1, y1 = plan.plate.bounds
    return [(x, y) for x in (x0, x1) for y in (y0, y1)]

"""An area that fronts or rings may clear: both are laid out, and the moves that take less time are kept."""

from dataclasses import replace

from camplan.linking import program as programs_
from camplan.linking.way import Air
from camplan.moves.timing import Drives, program_seconds
from camplan.operations.records import Operation
from camplan.operations.shop import why
from camplan.passes.common import Made
from camplan.passes.cut import made
from camplan.passes.ground import Ground
from camplan.units import MmPerMin, Seconds


def quicker_made(operation: Operation, *, ground: Ground, air: Air, drives: Drives) -> tuple[Operation, Made]:
    """An operation as it is cut, with its passes: itself, or what may be cut in its place (`Operation.instead`) where
    the mill takes less time for that, or where it finds no way down."""
    found = made(operation, ground=ground)
    rings = operation.instead
    if rings is None or not found.passes:
        return operation, found
    other = made(rings, ground=ground)
    mine = _seconds(operation, made=found, air=air, drives=drives)
    theirs = _seconds(rings, made=other, air=air, drives=drives)
    taken = not found.shut and mine <= theirs
    said = f"on their moves fronts take {mine:.0f} s and rings {theirs:.0f} s"
    said += "" if not found.shut or mine > theirs else ", but fronts find no way down somewhere"
    chosen = operation if taken else rings
    reasons = (*(one for one in chosen.reasons if one.figure != "way"), why("way", f"{_ways(operation)}; {said}"))
    return replace(chosen, reasons=reasons), found if taken else other


def _ways(operation: Operation) -> str:
    """What was expected of both."""
    return next((one.sentence for one in operation.reasons if one.figure == "way"), "")


def _seconds(operation: Operation, *, made: Made, air: Air, drives: Drives) -> Seconds:
    job = programs_.Job(operation=operation, passes=made.passes, holes=())
    feed_max: MmPerMin = drives.feed_max
    moves = programs_.assembled([job], air=air, spin_up=0.0, feed_max=feed_max).moves
    x, y = (float(edge) for edge in made.passes[0].strokes[0].path.points[0])
    return program_seconds(moves, start=(x, y, air.high), drives=drives)

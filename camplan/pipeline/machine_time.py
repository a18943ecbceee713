"""How long programs take on a mill."""

from camplan.catalogue.records import Machine
from camplan.moves.timing import Drives, Run, run_of, run_seconds
from camplan.rs274.records import ReadProgram
from camplan.units import Seconds


def drives_of(machine: Machine) -> Drives:
    """What a mill's file says of its axes."""
    return Drives(
        rapid=machine.rapid,
        feed_max=machine.feed_max,
        acceleration=machine.acceleration,
        junction_deviation=machine.junction_deviation,
        jerk=machine.jerk,
    )


def run_of_reading(reading: ReadProgram) -> Run:
    """A program that was read, from its first move to its last."""
    first = reading.motions.start[0].tolist() if len(reading.motions.start) else (0.0, 0.0, 0.0)
    x, y, z = first
    return run_of(reading.moves, start=(x, y, z))


def seconds_of(reading: ReadProgram, *, drives: Drives) -> Seconds:
    """How long it takes, dwells for the spindle included."""
    return run_seconds(run_of_reading(reading), drives=drives)

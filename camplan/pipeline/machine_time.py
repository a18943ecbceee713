"""How long programs take on a mill."""

from camplan.catalogue.records import Machine
from camplan.moves.timing import Drives, program_seconds
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


def seconds_of(reading: ReadProgram, *, drives: Drives) -> Seconds:
    """A program from its first move to its last, dwells for the spindle included."""
    if not len(reading.motions.start):
        return 0.0
    x, y, z = reading.motions.start[0].tolist()
    return program_seconds(reading.moves, start=(x, y, z), drives=drives)

"""A gouge is laid to the motion that cut it, however small it is."""

from types import ModuleType

import numpy as np
import shapely

from camplan.comparison.gouges import first_row
from camplan.simulation.track import track_of


def test_a_sliver_that_no_motion_alone_can_be_charged_with_is_that_of_the_nearest(shop: ModuleType) -> None:
    tape = shop.Tape()
    tape.across(20.0, 30.0)
    tape.move(20.0, 30.0, -2.0)
    tape.move(30.0, 30.0, -2.0)
    far = tape.move(50.0, 30.0, -2.0) - 1
    track = track_of([shop.program(tape, shop.slot_drill(6.0))])
    rows = np.flatnonzero(track.low < -1.0)
    sliver = shapely.box(45.0, 32.999999, 45.000001, 33.0)
    assert sliver.area < 1e-11
    assert first_row(track, rows=rows, part=sliver, z=-1.0) == far
    whole = shapely.box(44.0, 29.0, 45.0, 32.0)
    assert first_row(track, rows=rows, part=whole, z=-1.0) == far

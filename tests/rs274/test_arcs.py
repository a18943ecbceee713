"""Chords of arcs outside XY against the printed formula of a controller."""

import math

import pytest

from camplan import tolerance
from camplan.rs274.arcs import Turn, chords_of


@pytest.mark.parametrize(("radius", "granted", "printed"), [(10.0, 0.002, 157), (3.0, 0.002, 86)])
def test_a_full_circle_has_one_chord_more_than_the_controller_rounds_down_to(
    monkeypatch: pytest.MonkeyPatch, radius: float, granted: float, printed: int
) -> None:
    # Grbl 1.1h: floor(|angle r / 2| / sqrt(tol (2 r - tol))) chords; ours never exceed the tolerance, so one more
    assert math.floor(math.pi * radius / math.sqrt(granted * (2.0 * radius - granted))) == printed
    monkeypatch.setattr(tolerance, "CHORD", granted)
    turn = Turn(
        clockwise=False,
        plane=18,
        start=(0.0, 0.0, radius),
        to=(0.0, 0.0, radius),
        offsets=(None, None, -radius),
        radius=None,
    )
    ends = chords_of(turn, centre=(0.0, 0.0))
    assert len(ends) == printed + 1
    assert ends[-1] == turn.to
    assert radius * (1.0 - math.cos(math.pi / len(ends))) <= granted

"""The tolerances that the rooms agree on, all in mm."""

from camplan.units import Mm

JOIN: Mm = 0.010
"""Ends of drawn pieces closer than this are one point."""

CHORD: Mm = 0.0005
"""Sagitta of the chords that stand for an arc in planning and in the proof."""

WALL_FIT: Mm = 0.002
"""How far a fitted wall path may leave the exact one, away from the wall."""

WALL_SIDE: Mm = 0.001
"""How far any fitted path may leave the exact one towards the wall."""

ROUGH_FIT: Mm = 0.010
"""How far a fitted roughing path may leave the exact one, away from the wall."""

GOUGE: Mm = 0.002
"""What the proof grants for arc chords before it calls a gouge."""

WALL_PROOF: Mm = 0.005
"""How far a finished wall may be off in the proof."""

SAME_POINT: Mm = 1e-6
"""Coordinates closer than this are the same point."""

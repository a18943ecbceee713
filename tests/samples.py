"""Made-up things that tests of several rooms work with."""

import dataclasses
from typing import Any

from camplan.catalogue.records import Cutter, CutterKind


def slot_drill(diameter: float, **changes: Any) -> Cutter:
    """A slot drill of a shop that is invented, with whatever figures a test changes."""
    cutter = Cutter(
        name=f"slot-{diameter:g}",
        kind=CutterKind.SLOT_DRILL,
        diameter=diameter,
        tip_diameter=diameter,
        corner_radius=None,
        half_angle=None,
        point_angle=None,
        flute_length=12.0,
        reach=12.0,
        shank_diameter=max(diameter, 6.0),
        stick_out=25.0,
        teeth=2,
        centre_cutting=True,
        tool_material="carbide",
        rpm_max=None,
        edge_radius=0.006,
        source="SHOP: invented figures",
        file="",
    )
    return dataclasses.replace(cutter, **changes)

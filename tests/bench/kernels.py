"""What planning rings costs beside the bare offsets of the same rings, and how memory grows with the vertices.

Run it by hand from the checkout: ``python tests/bench/kernels.py``.  One closed form a number of vertices, each in a
process of its own: first both offset kernels by themselves, pyclipper ring from ring as the planner asks it (with the
same thinning) and GEOS the same, then the planner's whole way from the area to linked moves.  Times are the least of
three (of one for the largest); the exit code is 1 if planning takes more than 4 times as long as the planner's own
kernel, pyclipper, alone, or if memory grows faster than vertices.
"""

import json
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent.parent)]

import plates  # noqa: E402

from camplan.geometry import clipper  # noqa: E402
from camplan.linking.way import Air, Feeds, linked  # noqa: E402
from camplan.passes.clearing import Clearing, cleared  # noqa: E402
from camplan.passes.entry import Descent  # noqa: E402
from camplan.passes.layout import Room, laid_out  # noqa: E402
from camplan.units import Mm  # noqa: E402

VERTICES = (1_000, 10_000, 100_000)
RADIUS, STEP_OVER = 3.0, 2.4
MOST = 4.0
OFTEN = 10_000
THINNED: Mm = 0.001
KB_PER_MB = 1024.0


def main() -> int:
    """The table; 1 if a ratio is missed."""
    rows = [_measured(vertices) for vertices in VERTICES]
    print("vertices   rings   pyclipper      GEOS    planned   over pyclipper   over GEOS   peak memory")
    for row in rows:
        print(
            f"{row['vertices']:8,.0f} {row['rings']:7.0f} {row['pyclipper']:9.3f} s {row['geos']:7.3f} s "
            f"{row['planned']:8.3f} s {row['planned'] / row['pyclipper']:15.2f} {row['planned'] / row['geos']:11.2f} "
            f"{row['megabytes']:10.0f} MB"
        )
    slow = [row for row in rows if row["planned"] > MOST * row["pyclipper"]]
    first, last = rows[0], rows[-1]
    vertices = last["vertices"] / first["vertices"]
    memory = (last["megabytes"] - first["bare_megabytes"]) / max(first["megabytes"] - first["bare_megabytes"], 1.0)
    print(f"{vertices:.0f} times the vertices: {memory:.1f} times the memory")
    return int(bool(slow) or memory > vertices)


def _measured(vertices: int) -> dict[str, float]:
    asked = [sys.executable, str(Path(__file__).resolve()), str(vertices)]
    found: dict[str, float] = json.loads(subprocess.run(asked, check=True, capture_output=True, text=True).stdout)
    return found


def one(vertices: int) -> dict[str, float]:
    """The times of one form, in s, and the memory of this process before and after, in MB."""
    form = plates.wavy((0.0, 0.0), size=40.0, vertices=vertices, seed=1)
    work = clipper.shrunk((form,), by=RADIUS)
    bare = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KB_PER_MB
    counted: list[int] = []

    def by_pyclipper() -> None:
        current, count = work, 0
        while current:
            count += len(current)
            current = clipper.simplified(clipper.offset(current, by=-STEP_OVER), within=THINNED)
        counted.append(count)

    def by_geos() -> None:
        current = shapely.Polygon(work[0])
        while not current.is_empty:
            current = shapely.simplify(shapely.buffer(current, -STEP_OVER, quad_segs=32), THINNED)

    def planned() -> None:
        layout = laid_out(Room(work=work, radius=RADIUS, step_over=STEP_OVER))
        descent = Descent(diameter=2.0 * RADIUS, angle=np.radians(3.0), pitch=0.9, plunges=True)
        passes = cleared(Clearing(layout=layout, top=0.0, levels=(-1.0,), descent=descent)).passes
        feeds = Feeds(
            radius=RADIUS, skin=0.0, corner=900.0, cut=900.0, slot=700.0, ramp=400.0, plunge=200.0, free=1300.0
        )
        linked(passes, feeds=feeds, air=Air(high=17.0, low=3.0, clamps=(), berth=17.0), here=(0.0, 0.0, 17.0))

    often = 3 if vertices <= OFTEN else 1
    asked = (("pyclipper", by_pyclipper), ("geos", by_geos), ("planned", planned))
    times = {name: _least(work_, often=often) for name, work_ in asked}
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KB_PER_MB
    return {"vertices": vertices, "rings": counted[0], **times, "bare_megabytes": bare, "megabytes": peak}


def _least(work: Callable[[], None], *, often: int) -> float:
    times = []
    for _ in range(often):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return min(times)


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(json.dumps(one(int(sys.argv[1]))))
    else:
        sys.exit(main())

"""Measures clearing by fronts: ``python tests/bench/fronts.py [POCKET...] [--climb]``."""

import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent.parent)]

from passes import pockets, sweeping  # noqa: E402

from camplan.passes.swept import swept_by_fronts  # noqa: E402


def main() -> int:
    """Print a row a pocket."""
    both = "--climb" not in sys.argv
    names = [name for name in sys.argv[1:] if not name.startswith("-")] or list(pockets.NAMED)
    print("pocket        limit   p99  p99.9   max  ratio  links lifts moves  slot_mm  left_mm2 outside_um seconds")
    for name in names:
        room = pockets.NAMED[name]().room()
        begin = time.perf_counter()
        layout = swept_by_fronts(room, both_ways=both)
        seconds = time.perf_counter() - begin
        found = sweeping.figures(layout)
        print(
            f"{name:12} {found.limit:6.1f} {found.p99:5.1f} {found.p999:6.1f} {found.most:5.1f} {found.ratio:6.3f}"
            f" {found.links:6.3f} {found.lifts:5} {found.moves:5} {found.slots:8.1f}"
            f" {sweeping.left(layout, within=0.02):9.4f} {1000 * sweeping.outside(layout):10.2f} {seconds:7.1f}",
            flush=True,
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())

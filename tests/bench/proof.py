"""How long the proof takes: one section of a long program, and a plate of many pockets.

Run it by hand: ``python tests/bench/proof.py``.
"""

import sys
import time
from pathlib import Path

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parent.parent))
sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from comparison import shop

from camplan.geometry.chains import chain
from camplan.simulation.sweep import swept

RADIUS = 1.0


def wavy(x: float, y: float, *, size: float, vertices: int, lobes: int = 5) -> np.ndarray:
    angle = np.linspace(0.0, 2.0 * np.pi, vertices, endpoint=False)
    radius = size * (1.0 + 0.15 * np.sin(lobes * angle))
    return np.column_stack((x + radius * np.cos(angle), y + radius * np.sin(angle)))


def ring_motions(regions: list[shapely.Polygon], *, radius: float, step: float, levels: tuple[float, ...]) -> shop.Tape:
    tape = shop.Tape()
    for region in regions:
        rings = [np.round(ring, 4).tolist() for ring in shop.rings_of(region, radius=radius, step=step)]
        for z in levels:
            for ring in reversed(rings):
                tape.across(*ring[0])
                tape.ring(ring, z=z)
    tape.rapid(tape.at[0], tape.at[1], shop.SAFE)
    return tape


def one_section() -> None:
    region = shapely.Polygon(wavy(0.0, 0.0, size=40.0, vertices=800, lobes=9))
    tape = ring_motions([region], radius=RADIUS, step=0.6, levels=(-1.0, -2.0))
    motions = tape.table()
    start = time.perf_counter()
    figure = swept(motions, cutter=shop.slot_drill(2.0 * RADIUS), z=-0.5)
    seconds = time.perf_counter() - start
    print(f"one section of {len(motions.line)} moves: {seconds:.2f} s, {figure.area:.3f} mm2")


def many_pockets() -> None:
    places = [(12.0 + 17.0 * column, 12.0 + 17.0 * row) for row in range(10) for column in range(20)]
    outers = [wavy(x, y, size=6.5, vertices=195) for x, y in places]
    features = tuple(
        shop.pocket(chain(outer, closed=True), name=f"pocket {number}", depth=3.0)
        for number, outer in enumerate(outers)
    )
    tape = ring_motions(
        [shapely.Polygon(outer) for outer in outers], radius=RADIUS, step=0.72, levels=(-1.0, -2.0, -3.0)
    )
    motions = tape.table()
    cutter = shop.slot_drill(2.0 * RADIUS)
    stock = shop.plate(size=(360.0, 190.0))
    start = time.perf_counter()
    proof = shop.verdict(
        shop.program(motions, cutter), features=features, stock=stock, machine=shop.mill(travel=(600.0, 400.0, 90.0))
    )
    seconds = time.perf_counter() - start
    print(f"{len(features)} pockets, {len(motions.line)} moves: {seconds:.2f} s, passed: {proof.passed}")
    for finding in proof.findings[:5]:
        print("  ", finding)


if __name__ == "__main__":
    one_section()
    many_pockets()

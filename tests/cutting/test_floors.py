"""A thin floor under a cutter, against the plate's own equation solved on a grid."""

import math
import tomllib

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from camplan.cutting.floors import CLAMPED_STRIP, ELASTICITY, gives, stiffness
from camplan.resources import shipped

BIHARMONIC = {
    (0, 0): 20.0,
    **dict.fromkeys(((1, 0), (-1, 0), (0, 1), (0, -1)), -8.0),
    **dict.fromkeys(((1, 1), (1, -1), (-1, 1), (-1, -1)), 2.0),
    **dict.fromkeys(((2, 0), (-2, 0), (0, 2), (0, -2)), 1.0),
}


def way(longer: int, *, steps: int = 40) -> float:
    """Way at the middle of a clamped plate ``longer`` times as long as wide, over P b^2 / D: the thirteen-point
    biharmonic operator, w = 0 on the edge and mirrored beyond it (any text on finite differences)."""
    wide, long = steps, steps * longer
    rows, columns, values = [], [], []
    number = {(i, j): (i - 1) * (long - 1) + j - 1 for i in range(1, wide) for j in range(1, long)}
    for (i, j), row in number.items():
        for (di, dj), value in BIHARMONIC.items():
            at = (_mirrored(i + di, edge=wide), _mirrored(j + dj, edge=long))
            if at in number:
                rows.append(row)
                columns.append(number[at])
                values.append(value)
    size = len(number)
    load = np.zeros(size)
    load[number[wide // 2, long // 2]] = 1.0
    # P / h^2 at one node, h = b / steps, and the operator over h^4: w D / (P b^2) = w' / steps^2
    found = spsolve(coo_array((values, (rows, columns)), shape=(size, size)).tocsr(), load)
    return float(found.max()) / steps**2


def _mirrored(place: int, *, edge: int) -> int:
    return -place if place < 0 else 2 * edge - place if place > edge else place


def test_a_square_gives_as_much_as_the_table_says() -> None:
    """0.00560 (Timoshenko & Woinowsky-Krieger, table 37)."""
    assert way(1) == pytest.approx(0.00560, rel=0.02)


def test_a_long_floor_gives_as_much_as_is_reckoned_with() -> None:
    assert way(3) == pytest.approx(CLAMPED_STRIP, rel=0.02)


def test_a_round_floor_gives_less_than_is_reckoned_with() -> None:
    """P a^2 / (16 pi D) for a clamped disc of radius a (the same work, on plates loaded at their centre)."""
    disc = 30.0 * 20.0**2 / (16.0 * math.pi * stiffness(2.0, elasticity=70_000.0))
    assert disc < gives(30.0, span=40.0, thickness=2.0, elasticity=70_000.0) < 1.5 * disc


def test_half_the_thickness_gives_eight_times_as_much() -> None:
    thin, thick = (gives(10.0, span=30.0, thickness=h, elasticity=3_000.0) for h in (1.0, 2.0))
    assert thin == pytest.approx(8.0 * thick)


def test_every_group_of_the_shipped_materials_has_an_elasticity() -> None:
    files = sorted((shipped() / "tooling" / "materials").glob("*.toml"))
    groups = {tomllib.loads(file.read_text(encoding="utf-8")).get("group") for file in files}
    assert groups - {None} <= set(ELASTICITY)

"""Thin floors and walls under a cutter, against the plate's own equation solved on a grid, or by Ritz's method."""

import math
import tomllib

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from camplan.cutting.floors import CANTILEVERED, CLAMPED_STRIP, ELASTICITY, gives, stiffness, wall_gives
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


def way_of_wall(nu: float, *, length: float = 12.0, waves: int = 100, shapes: int = 12) -> float:
    """Way under a load at the free edge of a plate clamped along the other, over P a^2 / D, from below: the least of
    the plate's energy (Timoshenko & Woinowsky-Krieger, section 82) among cosines along it times x^2 and a polynomial
    across, as far from its mirror images as ``length``."""
    at, weight = np.polynomial.legendre.leggauss(40)
    at, weight = (at + 1.0) / 2.0, weight / 2.0
    square = np.polynomial.Polynomial([0.0, 0.0, 1.0])
    each = [
        square * np.polynomial.Legendre.basis(k, domain=[0.0, 1.0]).convert(kind=np.polynomial.Polynomial)
        for k in range(shapes)
    ]
    value, slope, bend = (np.array([one.deriv(n)(at) if n else one(at) for one in each]) for n in (0, 1, 2))
    tip = np.array([one(1.0) for one in each])
    found = 0.0
    for number in range(waves):
        k = 2.0 * math.pi * number / length
        energy = (
            (bend * weight) @ bend.T
            + k**4 * (value * weight) @ value.T
            - nu * k**2 * ((bend * weight) @ value.T + (value * weight) @ bend.T)
            + 2.0 * (1.0 - nu) * k**2 * (slope * weight) @ slope.T
        )
        found += float(tip @ np.linalg.solve(energy * (length if number == 0 else length / 2.0), tip))
    return found


@pytest.mark.parametrize("nu", [0.3, 0.33])
def test_a_long_wall_gives_as_much_as_is_reckoned_with(nu: float) -> None:
    """Jaramillo (1950) has 0.168 for nu 0.3, from memory; Ritz's method comes to that from below."""
    assert 0.97 * CANTILEVERED < way_of_wall(nu) < CANTILEVERED


def test_a_finer_reckoning_of_the_wall_changes_little() -> None:
    assert way_of_wall(0.3) == pytest.approx(way_of_wall(0.3, length=20.0, waves=200, shapes=14), rel=5e-3)


def test_a_long_wall_gives_less_than_a_strip_of_it_as_wide_as_high() -> None:
    """A strip b wide alone gives 4 P a^3 / (E b t^3) (beam theory): the wall beside it holds, so it gives less."""
    load, height, thickness, elasticity = 30.0, 8.0, 1.0, 70_000.0
    strip = 4.0 * load * height**3 / (elasticity * height * thickness**3)
    assert wall_gives(load, height=height, thickness=thickness, elasticity=elasticity) < strip


def test_a_wall_twice_as_high_gives_four_times_as_much_and_half_as_thick_eight_times() -> None:
    first, higher, thinner = (
        wall_gives(10.0, height=h, thickness=t, elasticity=70_000.0) for h, t in ((5.0, 1.0), (10.0, 1.0), (5.0, 0.5))
    )
    assert (higher, thinner) == (pytest.approx(4.0 * first), pytest.approx(8.0 * first))


def test_half_the_thickness_gives_eight_times_as_much() -> None:
    thin, thick = (gives(10.0, span=30.0, thickness=h, elasticity=3_000.0) for h in (1.0, 2.0))
    assert thin == pytest.approx(8.0 * thick)


def test_every_group_of_the_shipped_materials_has_an_elasticity() -> None:
    files = sorted((shipped() / "tooling" / "materials").glob("*.toml"))
    groups = {tomllib.loads(file.read_text(encoding="utf-8")).get("group") for file in files}
    assert groups - {None} <= set(ELASTICITY)

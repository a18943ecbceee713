"""How far thin floors and walls give under a cutter: plates held all round, or along one edge."""

from camplan.units import Mm, Newton, NewtonPerMm2

CLAMPED_STRIP = 0.00725
"""Way of a plate clamped along its edges, loaded at its middle, over P b^2 / D, where it is longer than wide.

Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. (1959), table 37 (0.00560 for a square, 0.00722 for
twice as long as wide), from memory; held against the plate's equation solved by finite differences in the tests.
"""

CANTILEVERED = 0.17
"""Way of the free edge of a long plate clamped along the other, loaded at one place of it, over P a^2 / D.

Jaramillo, Deflections and moments due to a concentrated load on a cantilever plate of infinite length, Journal of
Applied Mechanics 17 (1950), 0.168 for nu 0.3, from memory; held against a Ritz solution in the tests.
"""

POISSON = 0.33
"""Of most metals between 0.28 and 0.35, of plastics up to 0.4 (from memory); it counts by its square only."""

ELASTICITY: dict[str, NewtonPerMm2] = {
    "acetal": 2_800.0,
    "acrylic": 3_000.0,
    "aluminium-cast": 70_000.0,
    "aluminium-wrought": 70_000.0,
    "brass": 100_000.0,
    "bronze": 105_000.0,
    "cast-iron": 100_000.0,
    "copper": 115_000.0,
    "hardwood": 10_000.0,
    "mdf": 3_000.0,
    "nylon": 2_000.0,
    "polycarbonate": 2_300.0,
    "polyethylene": 900.0,
    "stainless": 193_000.0,
    "steel-medium": 205_000.0,
    "steel-mild": 205_000.0,
    "steel-tool": 205_000.0,
    "titanium": 110_000.0,
    "tooling-board": 1_000.0,
}
"""By a material's group, the low ends of what handbooks print (from memory)."""

AXIAL_SHARE = 0.5
"""The force along the axis over the cutter's whole force: 273 of 631 N/mm2 in aluminium (CJME-2021 table 5), rounded
up."""


def stiffness(thickness: Mm, *, elasticity: NewtonPerMm2, poisson: float = POISSON) -> float:
    """D = E h^3 / (12 (1 - nu^2)), the bending stiffness of a plate in N mm (Timoshenko & Woinowsky-Krieger, eq. 3).

    >>> round(stiffness(2.0, elasticity=70_000.0))
    52370
    """
    return elasticity * thickness**3 / (12.0 * (1.0 - poisson**2))


def gives(load: Newton, *, span: Mm, thickness: Mm, elasticity: NewtonPerMm2) -> Mm:
    """How far a floor held all round, ``span`` wide and longer than that, gives under a load at its middle.

    30 N on a floor of aluminium 2 mm thick, 40 mm wide: 0.00725 * 30 * 1600 / 52370.

    >>> round(gives(30.0, span=40.0, thickness=2.0, elasticity=70_000.0), 4)
    0.0066
    """
    return CLAMPED_STRIP * load * span**2 / stiffness(thickness, elasticity=elasticity)


def wall_gives(load: Newton, *, height: Mm, thickness: Mm, elasticity: NewtonPerMm2) -> Mm:
    """How far a long wall gives under a load square to it at its top.

    30 N on a wall of aluminium 1 mm thick, 8 mm high: 0.17 * 30 * 64 / 6546.

    >>> round(wall_gives(30.0, height=8.0, thickness=1.0, elasticity=70_000.0), 4)
    0.0499
    """
    return CANTILEVERED * load * height**2 / stiffness(thickness, elasticity=elasticity)

"""Plans pockets of chance by the hundred and prints every one whose plan is not as it should be.

Run it by hand: ``python tests/bench/free_forms.py [FIRST] [COUNT]``.  Each number stands for one plate (outline,
islands, shelf, material, post, depth), the same on every computer.  Printed are plans that fail their proof, that
leave what is within reach, that are refused for another reason than a cutter's size, or that break.
"""

import contextlib
import io
import random
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent.parent))

import ezdxf
import numpy as np
import shapely
from ezdxf import units

from camplan.cli.main import main as camplan

SHELF = ("slot-6", "slot-4", "slot-3", "slot-2", "slot-1.5", "slot-1", "end-4", "end-3", "slot-8")


def main(first: int, count: int) -> int:
    """1 if a plan was not as it should be."""
    odd = 0
    with tempfile.TemporaryDirectory() as place:
        for seed in range(first, first + count):
            folder = Path(place) / str(seed)
            folder.mkdir()
            said = verdict(drawn(seed, folder=folder))
            if said:
                odd += 1
                print(f"{seed}: {said}", flush=True)
    print(f"{odd} of {count} plans are not as they should be")
    return 1 if odd else 0


def drawn(seed: int, *, folder: Path) -> Path:
    """The plate of a number: a free-form pocket with up to three islands; the job's path."""
    chance = random.Random(seed)
    vertices = chance.choice((8, 12, 24, 60, 200))
    outer = wavy((40.0, 30.0), size=chance.uniform(8.0, 22.0), vertices=vertices, chance=chance)
    pocket = shapely.Polygon(outer)
    islands: list[np.ndarray] = []
    for _ in range(chance.randint(0, 3)):
        centre = (40.0 + chance.uniform(-9.0, 9.0), 30.0 + chance.uniform(-9.0, 9.0))
        island = wavy(centre, size=chance.uniform(1.0, 4.0), vertices=chance.choice((5, 9, 40)), chance=chance)
        figure = shapely.Polygon(island)
        if pocket.contains(figure) and all(figure.disjoint(shapely.Polygon(other)) for other in islands):
            islands.append(island)
    shelf = sorted(chance.sample(SHELF, chance.randint(1, 3)))
    drawing = ezdxf.new("R2010")
    drawing.units = units.MM
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0), (80, 0), (80, 60), (0, 60)], close=True, dxfattribs={"layer": "PLATE"})
    for ring in (outer, *islands):
        space.add_lwpolyline(ring.tolist(), close=True, dxfattribs={"layer": "POCKET"})
    drawing.saveas(folder / "plate.dxf")
    job = folder / "plate.toml"
    names = ", ".join(f'"{name}"' for name in shelf)
    job.write_text(
        'drawing = "plate.dxf"\nmachine = "bench-mill"\n'
        f'material = "{chance.choice(("aluminium-6082", "brass", "acetal", "acrylic"))}"\n'
        f'post = "{chance.choice(("grbl", "rs274ngc", "iso6983"))}"\ncutters = [{names}]\n\n'
        '[plate]\nthickness_mm = 10\noutline = "PLATE"\n\n'
        '[[feature]]\nname = "pocket"\nkind = "pocket"\nlayer = "POCKET"\n'
        f"depth_mm = {chance.choice((0.5, 2.0, 4.4))}\n",
        encoding="utf-8",
    )
    return job


def wavy(centre: tuple[float, float], *, size: float, vertices: int, chance: random.Random) -> np.ndarray:
    angle = np.linspace(0.0, 2.0 * np.pi, vertices, endpoint=False)
    radius = np.ones(vertices)
    for wave in (2, 3, 5, 7):
        radius += chance.uniform(0.0, 0.14) * np.sin(wave * angle + chance.uniform(0.0, 2.0 * np.pi))
    return np.round(np.column_stack((np.cos(angle), np.sin(angle))) * (size * radius)[:, None] + centre, 5)


def verdict(job: Path) -> str:
    """What is wrong with the plan of a job, in a line; nothing if all is well."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = camplan(["plan", str(job)])
    said = " ".join((out.getvalue() + err.getvalue()).split())
    well = code == 0 or (code == 1 and "within reach" not in said) or (code == 2 and "no cutter on the shelf" in said)
    if well:
        return ""
    begin = max(said.find("Findings:"), 0)
    shelf = next(line for line in job.read_text(encoding="utf-8").splitlines() if line.startswith("cutters"))
    return f"exit code {code}; {shelf}; {said[begin : begin + 240]}"


if __name__ == "__main__":
    sys.exit(main(*(int(word) for word in (*sys.argv[1:3], *("0", "300")[len(sys.argv[1:3]) :]))))

"""The drawings of the examples are those that their script draws; text in a drawing is not passed over in silence."""

import importlib.util
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import ezdxf

ROOT = Path(__file__).resolve().parents[2]


def test_the_script_draws_the_same_bytes_again(tmp_path: Path) -> None:
    spec = importlib.util.spec_from_file_location("draw_examples", ROOT / "examples" / "draw_examples.py")
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    script.main(tmp_path)
    drawn = sorted(tmp_path.rglob("*.dxf"))
    assert len(drawn) == 5
    for path in drawn:
        assert path.read_bytes() == (ROOT / "examples" / path.relative_to(tmp_path)).read_bytes(), path.name


def test_a_layer_of_text_alone_is_told_what_to_do_with_it(
    tmp_path: Path, plates: ModuleType, run: Callable[..., Any]
) -> None:
    """Text is of no use to a cutter before it is lines: the message says so at every feature that asks for it."""
    plates.drawn(tmp_path / "plate.dxf", closed=[("PLATE", plates.rounded(0, 0, 60, 40, radius=2))])
    drawing = ezdxf.readfile(tmp_path / "plate.dxf")
    space = drawing.modelspace()
    space.add_text("HIVE", dxfattribs={"layer": "MARKS"})
    space.add_mtext("26", dxfattribs={"layer": "MARKS"})
    drawing.saveas(tmp_path / "plate.dxf")
    kinds = {"mark": "", "pocket": "depth_mm = 2\n", "hole": "depth_mm = 2\n"}
    features = "".join(
        f'[[feature]]\nname = "{kind}"\nkind = "{kind}"\nlayer = "MARKS"\n{keys}' for kind, keys in kinds.items()
    )
    ran = run("plan", plates.job(tmp_path, plates.HEAD + features))
    assert ran.code == 2
    lines = ran.err.splitlines()
    assert len(lines) == 3
    assert all("holds 2 texts" in line and "explode it to lines" in line for line in lines), ran.err

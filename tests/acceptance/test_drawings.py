"""The drawings of the examples are those that their script draws."""

import importlib.util
from pathlib import Path

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

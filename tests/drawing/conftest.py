from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing as Document

from camplan.drawing.reading import read_drawing
from camplan.drawing.records import Drawing

Draw = Callable[[Document], None]
Reader = Callable[..., Drawing]


@pytest.fixture
def saved(tmp_path: Path) -> Callable[..., Path]:
    """Saves what a function draws into a new document as a DXF file."""

    def save(draw: Draw, *, version: str = "R2010", units: int = 4, name: str = "plate.dxf", fmt: str = "asc") -> Path:
        document = ezdxf.new(version, units=units)
        document.header["$INSUNITS"] = units
        draw(document)
        document.saveas(tmp_path / name, fmt=fmt)
        return tmp_path / name

    return save


@pytest.fixture
def drawn(saved: Callable[..., Path]) -> Reader:
    """Reads back what a function draws."""

    def read(draw: Draw, *, unit: str | None = None, **how: object) -> Drawing:
        return read_drawing(saved(draw, **how), unit=unit)

    return read

"""The ``[moulding]`` table."""

from collections.abc import Callable

import pytest

from camplan.job import Job
from camplan.moulding.records import MouldingSpec

Read = Callable[[str], Job]
Said = Callable[..., list[str]]

MARK = '\n[[feature]]\nname = "number"\nkind = "mark"\nlayer = "NUMBER"\n'


def test_a_job_without_the_table_says_nothing_of_moulding(read: Read, cavity: str) -> None:
    assert read(cavity).moulding is None


def test_an_empty_table_leaves_everything_open(read: Read, cavity: str) -> None:
    assert read(cavity + "\n[moulding]\n").moulding == MouldingSpec()


def test_everything_is_read_in_its_unit(read: Read, cavity: str) -> None:
    text = (
        '\n[moulding]\nplastic = "pp"\nwall_mm = 1.8\npress_kn = 100\nejection_c = 85\nshots = 400\ncavity = ["disc"]\n'
    )
    assert read(cavity + text).moulding == MouldingSpec(
        plastic="pp", wall=1.8, press=100_000.0, ejection=85.0, shots=400, cavity=("disc",)
    )


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("wall_mm = 0", "wall_mm"),
        ("press_kn = -5", "press_kn"),
        ("press_kn = true", "press_kn"),
        ("ejection_c = 900", "ejection_c"),
        ("shots = 0", "shots"),
        ("shots = 1.5", "shots"),
        ("plastic = 1", "plastic"),
        ('cavity = ["disk"]', "cavity"),
        ("cavity = []", "cavity"),
        ('cavity = ["disc"]\nrunners = ["disc"]', "runners"),
        ("walls_mm = 2", "walls_mm"),
    ],
)
def test_what_cannot_be_is_refused_with_its_key(said: Said, text: str, key: str) -> None:
    (problem,) = said(add=f"\n[moulding]\n{text}\n")
    assert problem.startswith(f"moulding.{key}: ")


def test_nothing_is_filled_in_a_mark(said: Said) -> None:
    (problem,) = said(add=MARK + '\n[moulding]\ncavity = ["disc", "number"]\n')
    assert problem.startswith("moulding.cavity: 'number' is no pocket, groove or hole")

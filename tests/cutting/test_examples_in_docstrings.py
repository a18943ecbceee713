"""The examples that stand beside the formulas give the answers printed beside them."""

import doctest
import importlib

import pytest

NAMES = [
    "camplan.catalogue.shape",
    "camplan.cutting.bending",
    "camplan.cutting.chip",
    "camplan.cutting.drilling",
    "camplan.cutting.entry",
    "camplan.cutting.floors",
    "camplan.cutting.force",
    "camplan.cutting.limits",
    "camplan.cutting.speed",
]


@pytest.mark.parametrize("name", NAMES)
def test_the_examples_beside_the_formulas_hold(name: str) -> None:
    done = doctest.testmod(importlib.import_module(name))
    assert done.attempted > 0
    assert done.failed == 0

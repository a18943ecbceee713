"""The plan that these tests report on."""

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

from camplan.planned import Plan


def _plans() -> ModuleType:
    spec = importlib.util.spec_from_file_location("sample_plans", Path(__file__).parent / "plans.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def plans() -> ModuleType:
    return _plans()


@pytest.fixture
def plan(plans: ModuleType) -> Plan:
    made = plans.sample_plan()
    assert isinstance(made, Plan)
    return made

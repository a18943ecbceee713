"""The plan that these tests report on."""

from types import ModuleType

import pytest

from camplan.planned import Plan


@pytest.fixture
def plan(plans: ModuleType) -> Plan:
    made = plans.sample_plan()
    assert isinstance(made, Plan)
    return made

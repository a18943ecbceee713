"""What tests of several rooms share: the shop of the proof and the plan that reports are about."""

from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def shop() -> ModuleType:
    """The builders of `tests/comparison/shop.py`."""
    from comparison import shop as found  # noqa: PLC0415

    return found


@pytest.fixture(scope="session")
def plans() -> ModuleType:
    """The plan made by hand in `tests/report/plans.py`."""
    from report import plans as found  # noqa: PLC0415

    return found

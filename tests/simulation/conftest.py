"""The shop of the proof's tests."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture(scope="session")
def shop() -> ModuleType:
    name = "proof_shop"
    if name not in sys.modules:
        path = Path(__file__).parent.parent / "comparison" / "shop.py"
        spec = importlib.util.spec_from_file_location(name, path)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        sys.modules[name] = module
    return sys.modules[name]

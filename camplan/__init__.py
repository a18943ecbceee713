"""camplan: plans and proves milling programs for small mills.

The public Python API is `camplan.pipeline`; the command is ``camplan`` (see `camplan.cli`).
"""

__version__ = "0.1.0"

"""``python -m camplan``."""

import sys

from camplan.cli.main import main

if __name__ == "__main__":
    sys.exit(main())

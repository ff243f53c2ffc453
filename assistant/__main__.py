"""`python -m assistant` is the same program as `halfturn`."""

import sys

from assistant.cli import main

if __name__ == "__main__":
    sys.exit(main())

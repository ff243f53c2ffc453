"""`python -m assistant` is the same program as `halfturn`."""

from assistant.cli import leave

if __name__ == "__main__":
    leave()

"""One module for each command: `run(options) -> exit code`. The parsers are all in `parsers`."""

BANNER = "Halfturn: say what the car does; it says what to change, how far, at what cost."
"""The first words of a talk; here, because nothing may be imported before they are written."""

"""The commands: each is a function `(options) -> exit code`; `table` has their words and options."""

BANNER = "Halfturn: say what the car does; it says what to change, how far, at what cost."
"""The first words of a talk; here, because nothing may be imported before they are written."""

"""The vehicle model: numpy only, SI units, pure functions over arrays; no files, no rules, no printing."""

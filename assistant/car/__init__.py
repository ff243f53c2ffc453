"""The car, tire, track, rulebook, setup and case on file, and what changing a lever does to a setup."""

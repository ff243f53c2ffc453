"""Reads YAML files strictly and explains every mistake in plain words; knows nothing of cars or rules."""

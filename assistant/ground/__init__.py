"""What everything stands on: units, problems, strict YAML, words of many screens. Knows nothing of cars or rules."""

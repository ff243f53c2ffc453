"""The pack held against its own cases, against the model, and against what it should cover."""

"""The notebook: what was told of every car, kept so that nothing of it is lost."""

"""One module for each command: `run(options) -> exit code`. The parsers are all in `parsers`."""

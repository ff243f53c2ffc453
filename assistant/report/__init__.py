"""The page that is handed to somebody else: `page` says what stands on it, `charts` draws, `write` makes the text."""

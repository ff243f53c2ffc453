"""From effects to ranked, legal, priced remedies and packages."""

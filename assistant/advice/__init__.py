"""From complaint and causes to ranked, legal, priced offers."""

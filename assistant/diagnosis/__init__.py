"""From what is said and measured to a complaint and its causes: hearing, evidence, questions. No cures here."""

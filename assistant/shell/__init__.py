"""What a person meets in a terminal: the conversation, its screens, and the two ways to drive it."""

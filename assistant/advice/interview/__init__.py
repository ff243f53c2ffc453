"""The interview as plain data: what to ask next, what the answers say about causes, when to stop."""

"""The computed car: what the model says of a case, its run ahead, its levers, and what a log teaches it."""

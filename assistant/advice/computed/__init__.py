"""What the vehicle model says of a case: the run ahead with any setup, and what every lever does to it."""

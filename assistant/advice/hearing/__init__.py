"""From the driver's words to a complaint, and to the symptoms that fit it."""

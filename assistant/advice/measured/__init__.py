"""What was measured at the car: fitting the model to a run log, reading the tires."""

"""The run ahead in words and tables: tires, fuel, gears, brakes, stops."""

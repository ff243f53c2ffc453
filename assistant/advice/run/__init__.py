"""The run ahead in words and tables: tyres, fuel, gears, brakes, stops."""

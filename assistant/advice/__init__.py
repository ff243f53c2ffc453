"""From complaint to advice: knowledge proposes, the vehicle model sizes, and both are shown."""

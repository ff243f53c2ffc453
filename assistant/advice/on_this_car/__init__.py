"""Plain facts a crew chief wants beside a lever or a corner, computed from the case."""

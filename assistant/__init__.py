"""Halfturn: what to change on an oval-track stock car, how far, and what that costs."""

__version__ = "0.1.0"

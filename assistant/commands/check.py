"""`halfturn check`: look for mistakes in rules, and run their cases. Faults are the answer and go to the output."""

from __future__ import annotations

"""`halfturn where`: which pack, file and line a symptom, lever, cause or driving habit comes from."""

from __future__ import annotations

"""The gate for all output where the shell looks for it; it is written in `assistant.gate`, below the report too."""

from __future__ import annotations

from assistant.gate import in_encoding, shown, shown_json

__all__ = ["in_encoding", "shown", "shown_json"]

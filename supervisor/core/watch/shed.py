"""The air about the kiln, as far as the watch knows of it."""

from __future__ import annotations

SHED_C = 20.0
"""Down to it a kiln cools, where nobody has said how warm the air is (common practice, no source).
Nothing measures it."""

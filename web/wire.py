"""What everything on the wire has in common. Knows no shape."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Wire(BaseModel):
    """Base of everything on the wire: frozen, no unknown keys, no NaN and no infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

"""What everything on the wire has in common. Knows no shape."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Wire(BaseModel):
    """Base of everything on the wire: frozen, no unknown keys, no NaN and no infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


Time = Annotated[str | None, Field(description="Wall-clock label, ISO 8601 with offset.")]

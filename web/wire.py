"""What everything on the wire has in common. Knows no shape."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from supervisor.core import reasons
from supervisor.core.errors import InputError, SpyholeError
from supervisor.core.events import Value
from supervisor.core.reasons import Reason


class Wire(BaseModel):
    """Base of everything on the wire: frozen, no unknown keys, no NaN and no infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


Time = Annotated[str | None, Field(description="Wall-clock label, ISO 8601 with offset.")]


class Why(Wire):
    """A sentence by its name and figures, from which a page says it in another language."""

    reason: Reason = Field(description="Which sentence it is, by a name that stays.")
    figures: dict[str, Value] = Field(
        default={}, description="What stands in it: numbers, names, what was given."
    )


def why_shape(why: reasons.Why | None) -> Why | None:
    """A reason as it goes over the wire."""
    return None if why is None else Why(reason=why.reason, figures=dict(why.figures))


def why_of(error: SpyholeError) -> Why | None:
    """An error's reason, with the file that it is about."""
    why = error.why
    if why is None:
        return None
    where = error.where if isinstance(error, InputError) else None
    return Why(reason=why.reason, figures={**why.figures, **({"where": where} if where else {})})

"""What every table of ``spyhole.toml`` has in common: an unknown key is an error.

And the error of keys that are good one by one, and together are not.
"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from supervisor.core.errors import InputError
from supervisor.core.toml_places import Path


class Table(BaseModel):
    """A table of the configuration."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, strict=True)


class KeysError(InputError):
    """Keys that don't go together; ``paths`` says which, as they stand in the file.

    The sentence names table and keys; whoever has the text adds file and line.
    """

    def __init__(self, what: str, *paths: Path) -> None:
        super().__init__(what)
        self.paths = paths

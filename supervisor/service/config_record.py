"""Where the record and the plans lie, as ``spyhole.toml`` says it. Knows names of folders alone."""

from __future__ import annotations

from pydantic import Field

from supervisor.service.config_table import Table


class RecordTable(Table):
    """Where the record lies; else ``--data``, SPYHOLE_DATA or the user's data folder."""

    data: str | None = Field(
        default=None,
        description="Folder of the record, beside this file or anywhere. Left out: SPYHOLE_DATA, "
        "else your own data folder. The installed service can write in /var/lib/spyhole alone.",
        examples=["record"],
    )
    plans: str | None = Field(
        default=None,
        description="Folder of your own plans, beside this file or anywhere. Left out: plans, in "
        "the folder of the record.",
        examples=["plans"],
    )

"""The firing that a page means by an id: the whole one, for addresses are not typed by hand."""

from __future__ import annotations

from supervisor.core.errors import InputError
from supervisor.core.reasons import Reason
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing
from web.archive import NoSuchFiringError


def known_firing(record: RecordReader, firing_id: str) -> Firing:
    """The firing of that id. Raises NoSuchFiringError, also for the beginning of an id."""
    try:
        firing = record.firing(firing_id)
    except InputError as error:
        raise NoSuchFiringError(str(error)).because(
            Reason.NO_FIRING, firing=firing_id[:80]
        ) from None
    if firing.id != firing_id:
        raise NoSuchFiringError(f'there is no firing "{firing_id}" in the record').because(
            Reason.NO_FIRING, firing=firing_id[:80]
        )
    return firing

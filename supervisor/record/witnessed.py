"""The part of the record that takes what was seen of real cones, and offsets that follow them."""

from __future__ import annotations

import math
import sqlite3

from supervisor.core.errors import InputError
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.record.afterwards import Afterwards
from supervisor.record.cones import (
    insert_new_probe,
    insert_observation,
    insert_offset_change,
    must_be_an_observation,
    withdraw_observation,
)
from supervisor.record.readings import firing_number
from supervisor.record.rows import KeptObservation, OffsetChange
from supervisor.record.tables import find_firing, number_in_kiln
from supervisor.record.writer import Pending


class Witnessed(Afterwards):
    """A record that takes looks at cones, accepted offsets and new probes."""

    def add_observation(
        self,
        firing_id: str,
        seen: Observation,
        *,
        time: str | None = None,
        by: str | None = None,
        written_label: str | None = None,
        client_id: str | None = None,
    ) -> Pending[KeptObservation]:
        """Keep what a person saw of a real cone, during the firing or after it.

        ``time`` is the wall clock's label of when it was seen, ``written_label`` of now.
        ``client_id`` makes a repeat harmless, as for notes. Raises InputError for an unknown
        cone or clock; the answer raises it for a channel that the firing does not have.
        """
        must_be_an_observation(seen)
        new = KeptObservation(0, seen, time, by, written_label)

        def job(connection: sqlite3.Connection) -> KeptObservation:
            firing_n = firing_number(connection, firing_id)
            channels = find_firing(connection, firing_id).channels
            return insert_observation(connection, firing_n, channels, new, client_id)

        return self._submit(job)

    def withdraw_observation(self, firing_id: str, number: int) -> Pending[None]:
        """Let an observation, entered by mistake, count no longer.

        The answer raises InputError if the firing has no such observation.
        """

        def job(connection: sqlite3.Connection) -> None:
            withdraw_observation(connection, firing_number(connection, firing_id), number)

        return self._submit(job)

    def accept_offset(
        self,
        kiln: str,
        channel: str,
        offset: Offset,
        *,
        label: str | None = None,
        during: tuple[str, float] | None = None,
        configured_c: float = 0.0,
        is_simulated: bool = False,
    ) -> Pending[None]:
        """Put a channel's offset in force, with what is known of it now.

        It counts for firings of the kiln that begin from now on and, where ``during`` names a
        firing and its elapsed second, for that one too. It is for readings that have
        ``configured_c`` °C of the configuration in them. ``is_simulated`` tells that the cones it
        came from were those of a simulation. Raises InputError for a figure that is none.
        """
        if not all(map(math.isfinite, (offset.mean_c, offset.sigma_c, configured_c))):
            raise InputError(f"an offset of {offset.mean_c} ± {offset.sigma_c} °C is no number")
        firing_id, elapsed_s = during or (None, None)
        return self._change_offset(
            OffsetChange(
                kiln, channel, offset, label, firing_id, elapsed_s, configured_c, is_simulated
            )
        )

    def withdraw_offset(
        self,
        kiln: str,
        channel: str,
        *,
        label: str | None = None,
        during: tuple[str, float] | None = None,
    ) -> Pending[None]:
        """Let a channel's offset be in force no longer; ``during`` as in ``accept_offset``.

        Without a firing, the answer raises InputError if none is in force.
        """
        firing_id, elapsed_s = during or (None, None)
        return self._change_offset(OffsetChange(kiln, channel, None, label, firing_id, elapsed_s))

    def _change_offset(self, change: OffsetChange) -> Pending[None]:
        def job(connection: sqlite3.Connection) -> None:
            firing_n = number_in_kiln(connection, change.firing_id, change.kiln)
            insert_offset_change(connection, change, firing_n)

        return self._submit(job)

    def note_new_probe(
        self, kiln: str, channel: str, *, since: str | None = None, label: str | None = None
    ) -> Pending[None]:
        """Keep that a channel's thermocouple was exchanged: what was seen before tells nothing.

        It is new since the firing that ``since`` names, without one from the next firing on. The
        latest word counts, so that a mistake is mended by another. An offset in force was told
        by the old one, and is withdrawn. The answer raises InputError for a firing of another
        kiln.
        """

        def job(connection: sqlite3.Connection) -> None:
            firing_n = number_in_kiln(connection, since, kiln)
            insert_new_probe(connection, kiln, channel, firing_n, label)

        return self._submit(job)

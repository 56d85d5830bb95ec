"""What the alert book says, put into the outbox for each destination that wants it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from supervisor.core.alerts import Alert, AlertBook, AlertChange, Now
from supervisor.core.watch.wording import Words
from supervisor.messaging.destinations import Destination
from supervisor.record.rows import NewMessage
from supervisor.record.store import Record


def messages_of(
    changes: Iterable[AlertChange],
    destinations: Sequence[Destination],
    label: str | None,
    *,
    is_time_believed: bool | None = None,
) -> list[NewMessage]:
    """A message for each change and each destination that wants it.

    Each says whether its ``time`` may be believed; None where nobody can tell.
    """
    return [
        NewMessage(to.topic, payload, created_label=label, destination=to.name)
        for change in changes
        if change.message is not None
        for to in destinations
        if (payload := to.payload({**change.message, "time_believed": is_time_believed}))
        is not None
    ]


def latest(changes: Iterable[AlertChange]) -> list[Alert]:
    """Each changed alert once, as it stands now."""
    return list({alert.id: alert for change in changes for alert in change.alerts}.values())


async def tell_leftovers(
    record: Record,
    destinations: Sequence[Destination],
    now_label: str,
    *,
    is_time_believed: bool | None = None,
) -> int:
    """Tell what a firing that has ended meanwhile left untold; the number of such firings.

    It waited for a morning that this program did not live to see.
    """
    firings = record.with_untold_alerts()
    for firing in firings:
        book = AlertBook(
            firing.id,
            firing.kiln,
            record.alerts(firing.id),
            words=Words(firing.units),
            kept=record.alert_book(firing.id),
        )
        change = book.tell_all(Now(firing.ended_at_s or 0.0, now_label))
        if change is not None:
            await record.add_events(
                firing.id,
                alerts=latest([change]),
                book=book.kept,
                messages=messages_of(
                    [change], destinations, now_label, is_time_believed=is_time_believed
                ),
            )
    return len(firings)

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


NO_LONGER_WATCHED = (
    "No longer watched: the log in which this was told has ended. Whether it is over can't be "
    "told from it; what still stands is told anew."
)


async def tell_leftovers(
    record: Record,
    destinations: Sequence[Destination],
    now_label: str,
    *,
    is_time_believed: bool | None = None,
) -> int:
    """Tell what firings that have ended left untold, and end what they left standing; how many.

    The one waited for a morning that this program did not live to see; of the other nobody else
    will ever say that it is over. People hear of it from the last firing alone: who was told of
    an alert months ago has seen to it.
    """
    untold = [firing.id for firing in record.with_untold_alerts()]
    firings = {firing.id: firing for firing in record.firings()[::-1] if not firing.is_open}
    last_id = next(reversed(firings), None)
    standing = [firing.id for firing in record.with_standing_alerts()]
    loose = [firing for firing in firings.values() if firing.id in {*untold, *standing}]
    for firing in loose:
        book = AlertBook(
            firing.id,
            firing.kiln,
            record.alerts(firing.id),
            words=Words(firing.units),
            kept=record.alert_book(firing.id),
        )
        now = Now(firing.ended_at_s or 0.0, now_label)
        changes = book.end_all(now, NO_LONGER_WATCHED)
        told = book.tell_all(now)
        if told is not None:
            changes.append(told)
        is_news = firing.id in untold or firing.id == last_id
        if changes:
            await record.add_events(
                firing.id,
                alerts=latest(changes),
                book=book.kept,
                messages=messages_of(
                    changes,
                    [to for to in destinations if is_news or to.takes_all],
                    now_label,
                    is_time_believed=is_time_believed,
                ),
            )
    return len(loose)

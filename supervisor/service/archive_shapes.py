"""Past firings in the page's own shapes. Changes nothing, asks nobody."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from supervisor.core.alerts import Alert
from supervisor.core.events import Event
from supervisor.record.archive import FoundFiring
from supervisor.record.rows import Mode
from supervisor.record.summary import ChannelSummary
from supervisor.record.unloading import Account, Finding, Photo
from supervisor.service import shapes
from supervisor.service.archive_reading import WholeFiring
from web import archive_models as page
from web.models import Mode as PageMode

PAGE_MODES = {
    Mode.LIVE: PageMode.LIVE,
    Mode.SIMULATION: PageMode.SIMULATION,
    Mode.IMPORT: PageMode.REPLAY,
}
MEDIA_TYPES = {kind: f"image/{kind}" for kind in ("jpeg", "png", "webp")}


def firing_row(found: FoundFiring) -> page.FiringRow:
    """One firing of a list."""
    firing, extent, summary = found.firing, found.extent, found.summary
    leading = None if summary is None else summary.leading
    return page.FiringRow(
        id=firing.id,
        kiln=firing.kiln,
        name=firing.name,
        mode=PAGE_MODES[firing.mode],
        is_open=firing.is_open,
        units=firing.units,
        started_at=firing.started_label,
        ended_at=firing.ended_label,
        length_s=None if extent is None else round(extent.last_s - extent.first_s, 3),
        readings=0 if extent is None else extent.readings,
        channels=list(firing.channels),
        lead=None if summary is None else summary.lead,
        peak_c=None if leading is None else leading.peak_c,
        cone=None if leading is None else leading.cone,
        next_cone=None if leading is None else leading.next_cone,
        toward_next=None if leading is None else leading.toward_next,
        critical=found.alerts.get("critical", 0),
        warnings=found.alerts.get("warning", 0),
        notes=found.notes,
        looks=found.looks,
        findings=found.findings,
        photos=found.photos,
    )


def whole_firing(whole: WholeFiring) -> page.ArchivedFiring:
    """Everything about one firing but its readings."""
    firing, summary = whole.firing, whole.found.summary
    offsets = [
        page.Offset(
            channel=name,
            offset_c=round(accepted.offset.mean_c, 2),
            sigma_c=round(accepted.offset.sigma_c, 2),
            elapsed_s=None,
            at=accepted.label,
        )
        for name, accepted in whole.offsets.items()
    ]
    offsets += [
        page.Offset(
            channel=change.channel,
            offset_c=None if change.offset is None else round(change.offset.mean_c, 2),
            sigma_c=None if change.offset is None else round(change.offset.sigma_c, 2),
            elapsed_s=change.elapsed_s,
            at=change.label,
        )
        for change in whole.offset_changes
    ]
    return page.ArchivedFiring(
        **dict(firing_row(whole.found)),
        schedule_toml=firing.schedule_toml,
        settings=dict(firing.settings),
        reach=[] if summary is None else [_reach(one) for one in summary.channels],
        steps=[_step(one) for one in whole.facts["steps"]],
        facts=dict(whole.facts),
        events=[_event(event) for event in whole.events],
        alerts=[_alert(alert) for alert in whole.alerts],
        notes_written=[shapes.note_shape(note) for note in whole.notes],
        witness=[shapes.look_shape(kept) for kept in whole.looks],
        offsets=offsets,
        accounts=[account_shape(one) for one in whole.accounts],
        found=[finding_shape(one) for one in whole.findings],
        pictures=[photo_shape(one) for one in whole.photos],
    )


def _reach(one: ChannelSummary) -> page.ChannelReach:
    return page.ChannelReach(
        name=one.name,
        values=one.values,
        peak_c=one.peak_c,
        cone=one.cone,
        next_cone=one.next_cone,
        toward_next=one.toward_next,
        offset_c=round(one.offset_c, 2),
    )


def _step(one: Mapping[str, Any]) -> page.FiredStep:
    planned = one["planned"]
    actual: Mapping[str, Any] = one["actual"] or dict.fromkeys(planned)
    held_s = None if one["actual"] is None else actual["end_s"] - actual["reach_s"]
    return page.FiredStep(
        number=one["number"],
        note=one["note"],
        is_complete=one["is_complete"],
        planned_from_c=_round(planned["from_c"], 1),
        planned_to_c=_round(planned["to_c"], 1),
        planned_rate_c_per_h=_round(planned["rate_c_per_h"], 1),
        planned_s=_round(planned["end_s"] - planned["start_s"], 0),
        planned_hold_s=_round(planned["end_s"] - planned["reach_s"], 0),
        begun_s=_round(actual["start_s"], 1),
        reached_s=_round(actual["reach_s"], 1),
        ended_s=_round(actual["end_s"], 1),
        from_c=_round(actual["from_c"], 1),
        to_c=_round(actual["to_c"], 1),
        rate_c_per_h=_round(actual["rate_c_per_h"], 1),
        held_s=_round(held_s, 0),
        late_s=_round(one["late_s"], 0),
        rate_off_c_per_h=_round(one["rate_off_c_per_h"], 1),
        hold_off_s=_round(one["hold_off_s"], 0),
        top_off_c=_round(one["top_off_c"], 1),
    )


def _round(value: Any, digits: int) -> Any:
    return None if value is None else round(value, digits)


def _event(event: Event) -> page.EventRow:
    return page.EventRow(
        elapsed_s=event.elapsed_s,
        time=event.time,
        kind=event.kind.value,
        severity=event.severity,
        state=event.state,
        channel=event.channel,
        message=event.message,
        data=dict(event.data),
    )


def _alert(alert: Alert) -> page.HandledAlert:
    return page.HandledAlert(
        **dict(shapes.alert_shape(alert)),
        acknowledged_at_s=alert.acknowledged_at_s,
        acknowledged_by=alert.acknowledged_by,
        cleared_at=alert.cleared_time,
        cleared_message=alert.cleared_message,
        escalated_at_s=alert.escalated_at_s,
    )


def account_shape(one: Account) -> page.Account:
    """An account as the page has it."""
    return page.Account(topic=one.topic, text=one.text, by=one.by, time=one.label)


def finding_shape(one: Finding) -> page.Finding:
    """A finding as the page has it."""
    return page.Finding(
        key=one.key, level=one.level, place=one.place, text=one.text, by=one.by, time=one.label
    )


def photo_shape(one: Photo) -> page.Photo:
    """A photo as the page has it."""
    return page.Photo(
        number=one.id,
        media_type=MEDIA_TYPES[one.kind],
        bytes=one.bytes,
        width_px=one.width_px,
        height_px=one.height_px,
        caption=one.caption,
        by=one.by,
        time=one.label,
    )

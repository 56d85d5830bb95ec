"""Firings held against each other for the page, read and worked out in a thread.

Reads what was summed up of them; changes nothing.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Sequence
from string import ascii_uppercase

from supervisor.core.compare import (
    Align,
    Comparison,
    Difference,
    Parting,
    Subject,
    compared,
    planned_subject,
)
from supervisor.core.compare.aligned import zero_s
from supervisor.core.compare.overlay import Line, overlaid
from supervisor.core.compare.parting import beyond
from supervisor.core.compare.so_far import SoFar
from supervisor.core.compare.words import farthest_worth_a_word, sentences, step_at
from supervisor.core.errors import InputError, RecordError
from supervisor.core.reasons import Reason
from supervisor.core.review.cones import name_of_place
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.followed import looked_back
from supervisor.record.going_on import GoingOn
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import readable_plan_of
from supervisor.record.rows import Firing
from supervisor.service.known import known_firing
from web import comparing as page

_DIGITS = 4
KEEPS_UP_S = 300.0
"""So often the firing that goes on is taken in, lest who compares it waits for a day of it."""


class Comparer:
    """Implements ``web.comparing.Comparing`` over a record; one comparison at a time."""

    def __init__(self, record: RecordReader) -> None:
        self._record = record
        self._going_on = GoingOn()
        self._turn = asyncio.Lock()

    async def run(self) -> None:
        """Keep up with the firing that goes on, until cancelled."""
        while True:
            async with self._turn:
                # What can't be read now is read when somebody asks, and then it is said; and a
                # firing that only waited may leave the record meanwhile.
                with contextlib.suppress(RecordError, InputError):
                    await asyncio.to_thread(self.keep_up)
            await asyncio.sleep(KEEPS_UP_S)

    def keep_up(self) -> None:
        """Take in what is new of the firing that goes on.

        Raises RecordError, and InputError where that firing has left the record meanwhile.
        """
        going_on = self._record.open_firing(mode=None)
        if going_on is not None:
            self._going_on.reviewer_of(self._record, going_on)

    async def compare(
        self, firing_ids: list[str], align: page.Alignment, *, with_plan: bool
    ) -> page.ComparisonAnswer:
        if len(set(firing_ids)) != len(firing_ids):
            raise InputError("a firing is named twice: name each once").because(Reason.NAMED_TWICE)
        if len(firing_ids) < 2 and not with_plan:
            raise InputError("one firing can't be compared: name two, or ask for its plan").because(
                Reason.ONLY_ONE
            )
        async with self._turn:
            return await asyncio.to_thread(
                self._compare, firing_ids, Align(align.value), with_plan=with_plan
            )

    def _compare(
        self, firing_ids: Sequence[str], align: Align, *, with_plan: bool
    ) -> page.ComparisonAnswer:
        firings = [known_firing(self._record, one) for one in firing_ids]
        subjects = [
            self._subject(letter, firing)
            for letter, firing in zip(ascii_uppercase, firings, strict=False)
        ]
        whose: list[Firing | None] = list(firings)
        if with_plan:
            plan = readable_plan_of(firings[0])
            if plan is None:
                raise InputError(f"no plan is known of firing {firings[0].id}").because(
                    Reason.NO_PLAN_KNOWN, firing=firings[0].id
                )
            reference, others = planned_subject(plan, subjects[0].facts.start_c), subjects
            whose.insert(0, None)
        else:
            reference, others = subjects[0], subjects[1:]
        comparisons = compared(reference, others, align)
        return comparison_shape(comparisons, whose, firings[0].name)

    def _subject(self, letter: str, firing: Firing) -> Subject:
        back = looked_back(self._record, firing, self._going_on)
        return Subject(
            letter, firing.id, back.facts, back.trace, back.works, goes_on=firing.is_open
        )


def comparison_shape(
    comparisons: Sequence[Comparison], whose: Sequence[Firing | None], plan: str
) -> page.ComparisonAnswer:
    """A comparison as the page has it; ``whose`` are the firings, None for the ``plan``."""
    first = comparisons[0]
    subjects = (first.reference, *(one.other for one in comparisons))
    overlay = overlaid(comparisons)
    return page.ComparisonAnswer(
        align=page.Alignment(first.align.value),
        from_c=round(first.from_c, _DIGITS),
        at=list(overlay.at),
        lines=[
            _line(subject, firing, values, plan)
            for subject, firing, values in zip(subjects, whose, overlay.lines, strict=True)
        ],
        against=[_against(one, by) for one, by in zip(comparisons, overlay.by, strict=True)],
    )


def _line(subject: Subject, firing: Firing | None, values: Line, plan: str) -> page.ComparedLine:
    peak = subject.facts.peak
    return page.ComparedLine(
        letter=subject.name,
        id=None if firing is None else firing.id,
        name=plan if firing is None else firing.name,
        kiln=None if firing is None else firing.kiln,
        started_at=None if firing is None else firing.started_label,
        is_open=firing is not None and firing.is_open,
        cone=None if subject.place is None else name_of_place(subject.place),
        peak_c=round(peak.level_c, _DIGITS) if peak is not None and subject.has_peaked else None,
        values=_rounded(values),
    )


def _against(one: Comparison, by: Line) -> page.Against:
    laid = one.laid
    most = farthest_worth_a_word(one)
    has_length = laid is not None and one.align is not Align.TEMPERATURE
    return page.Against(
        letter=one.other.name,
        by=_rounded(by),
        so_far=[_so_far(now) for now in one.so_far],
        has_common=laid is not None,
        beyond=0.0 if laid is None else round(beyond(laid), _DIGITS),
        both_s=laid.at[-1] - laid.at[0] if laid is not None and has_length else None,
        peaks_apart_c=0.0 if laid is None else round(laid.offset, _DIGITS),
        partings=[_parting(one, parting) for parting in one.partings],
        farthest=None if most is None else page.Farthest(at=most[0], by=round(most[1], _DIGITS)),
        differences=[_difference(difference) for difference in one.differences],
        sentences_c=list(sentences(one, Words(Unit.C))),
        sentences_f=list(sentences(one, Words(Unit.F))),
    )


def _so_far(now: SoFar) -> page.SoFar:
    return page.SoFar(
        name=now.name,
        against=now.against,
        has_peaked=now.has_peaked,
        at_s=now.at_s,
        temp_c=now.temp_c,
        against_c=now.against_c,
        reached_c=now.reached_c,
        later_s=now.later_s,
    )


def _parting(one: Comparison, parting: Parting) -> page.Parting:
    temp_c, step = None, None
    zero = zero_s(one.reference, one.align, one.from_c)
    if one.align is not Align.TEMPERATURE and zero is not None:
        temp_c = round(one.reference.trace.temp_at(zero + parting.at), _DIGITS)
        found = step_at(one.reference, zero + parting.at)
        if found is not None:
            number, doing, to_c = found
            step = page.PartingStep(number=number, doing=doing, to_c=round(to_c, _DIGITS))
    return page.Parting(
        at=parting.at,
        until=parting.until,
        by=parting.by,
        worst_at=parting.worst_at,
        temp_c=temp_c,
        step=step,
    )


def _difference(one: Difference) -> page.Difference:
    is_cones = one.unit == "cones"
    return page.Difference(
        what=one.what,
        unit=one.unit,
        # Not rounded: the page would tell another minute at its edge than the sentences do.
        reference=one.reference,
        other=one.other,
        is_alike=one.is_alike,
        reference_cone=name_of_place(one.reference) if is_cones and one.reference else None,
        other_cone=name_of_place(one.other) if is_cones and one.other else None,
        parts={name: round(by, 3) for name, by in one.parts.items()},
        only_reference=list(one.names[0]),
        only_other=list(one.names[1]),
    )


def _rounded(values: Line) -> list[float | None]:
    return [None if value is None else round(value, 1) for value in values]

"""Looks through a kiln's firings for what is worth a warning, and ends.

Run by ``trend_watch`` with its order on stdin; answers on stdout with one line of JSON. Looks into
the record and changes nothing.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from supervisor.core.trends import Trend, TrendKind, say, trends_of
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.followed import all_followed
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Mode
from supervisor.service.manners import stand_back

_CAUSES = frozenset({TrendKind.CLIMB})
"""Where one of these is told, that it gets later is no news beside it."""


def work(order: dict[str, Any]) -> list[dict[str, object]]:
    """What the kiln's firings show that is worth a warning, ready for JSON."""
    with RecordReader.open_to_read(Path(order["record"])) as record:
        # What was simulated is another kiln, whatever it is called.
        history = [
            seen
            for seen in record.seen_in_kiln(order["kiln"])
            if seen.firing.mode is not Mode.SIMULATION
        ]
        found = trends_of(all_followed(record, order["kiln"], history[-order["last"] :]))
    worth = [trend for trend in found if trend.is_worth_a_warning]
    kinds = {trend.kind for trend in worth}
    words = Words(Unit(order["units"]))
    return [
        _finding(trend, words)
        for trend in worth
        if trend.kind is not TrendKind.LATE or not kinds & _CAUSES
    ]


def _finding(trend: Trend, words: Words) -> dict[str, object]:
    said = say(trend, words)
    # What it is, and what to do; how sure it is can be read in the whole.
    text = " ".join(dict.fromkeys((said[0], said[-1])))
    return {
        "trend": trend.kind.value,
        "of": trend.of,
        "is_short": trend.is_short,
        "firing": trend.values[-1].firing,
        "message": f"From firing to firing: {text} `spyhole trends` has the figures.",
    }


def main() -> None:
    """Take the order from stdin, answer on stdout."""
    stand_back()
    print(json.dumps(work(json.load(sys.stdin))))


if __name__ == "__main__":
    main()

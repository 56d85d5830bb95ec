"""The conditions that rules name: each looks at one thing in a firing's facts.

Where a figure comes near a limit, nothing can be told: thermocouples, ware and rules of thumb
are not so exact. Limits without another source are common practice, no source.
"""

from __future__ import annotations

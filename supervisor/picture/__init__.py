"""Pictures of a plan: a page (.html), a drawing (.svg) or an image (.png).

Knows how a plan is drawn. Knows nothing of the command line, of the record or of any firing.
"""

from supervisor.picture.write import write_plan

__all__ = ["write_plan"]

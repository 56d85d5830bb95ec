"""``python -m supervisor`` is ``spyhole``."""

from supervisor.commands.main import run

run()

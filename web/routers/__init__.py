"""What further views of the page ask the server for: one file a view.

Each has a function ``router`` that takes the narrow interface through which its view may look
(a Protocol, as ``web.interface.KilnDesk``) and returns a FastAPI router whose addresses begin
with ``/api/``; ``web.app.create_app`` is given them.
"""

from fastapi import APIRouter as Router

__all__ = ["Router"]

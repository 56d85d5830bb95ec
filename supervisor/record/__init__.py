"""The record: one SQLite file that keeps every firing's readings, events, notes and alerts.

``Record`` in ``store`` is the way in. Nothing here knows what a reading means.
"""

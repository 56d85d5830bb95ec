"""The record: one SQLite file that keeps each firing with its events, notes, alerts and cones.

``Record`` in ``store`` is the way in. Nothing here knows what a reading means.
"""

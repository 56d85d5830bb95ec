"""spyhole's supervisor: a pure core and the adapters that stand around it."""

__version__ = "0.1.0"

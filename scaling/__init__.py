"""Scaling studies for small fighting robots: which factor, by which law, and what drifts."""

__version__ = "0.1.0"

"""Faults that nobody can notice, and why: the program does the same with them as without."""

from __future__ import annotations

ASIDE: dict[str, str] = {}
"""Why, by the fault's name."""

"""How the network is laid out: what is trained and what is written agree on it; data."""

LAYERS = 15
SUBSAMPLED_AT, STEP = 5, 3
"""The layer without context, from which only every third frame is computed."""
BYPASS = 0.66
"""Share of a layer's input that is added to its output."""
CONTEXT = 34
"""Frames before and after that one output sees."""
EPSILON = 1e-3
"""Added to a variance before it is divided by."""

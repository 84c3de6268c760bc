"""Makes the demo's recordings."""

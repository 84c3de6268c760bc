"""Whatever comes in from outside either works or gives the one declared error."""

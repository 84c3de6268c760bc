"""The commands of the office: read options, call the rooms, print."""

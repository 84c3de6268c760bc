"""Faults by the thousand: long runs that try to make the program lose, double or invent a call."""

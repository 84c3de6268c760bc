"""calllog: from a taping crew's calls to a clean, corrected segment log."""

__version__ = "0.1.0"

"""The process that serves phones: it knows no job; shell."""

"""Tests of the tests: pure rooms with small faults put in, which some test must notice."""

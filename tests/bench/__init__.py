"""Benchmarks: one file each, run by hand; figures with their conditions."""

"""Tests of calllog."""

"""Equations: pure scalar functions, numbers in, numbers out, each with its source."""

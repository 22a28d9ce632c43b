"""Prose to a dance, every character accounted for, and a dance to canonical prose."""

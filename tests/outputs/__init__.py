"""Tests of the things made from a proved dance."""

"""Tests of noonwall."""

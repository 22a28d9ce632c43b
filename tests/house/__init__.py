"""Tests of the house itself: imports, sizes, cleanliness, documents."""

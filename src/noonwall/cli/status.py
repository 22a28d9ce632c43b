"""Exit statuses, the same for every command; docs/commands.md explains them."""

CLEAN, DOUBTFUL, WRONG, UNREADABLE = 0, 1, 2, 3

INTERRUPTED = 130
"""After Ctrl-C: 128 plus the number of the signal, as shells report it (POSIX)."""

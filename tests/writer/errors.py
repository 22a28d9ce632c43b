"""Plant one error."""

KINDS: tuple[str, ...] = ()

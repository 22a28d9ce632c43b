"""Things made from a proved dance, one file per thing."""

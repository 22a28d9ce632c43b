"""Storage and search: texts, music maps and classes are kept, the rest is derived."""

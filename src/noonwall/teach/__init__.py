"""Run and what a class knows to Lesson: pieces, build-up, calls, options, script."""

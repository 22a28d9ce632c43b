"""The command line: one file for each command, named as the command."""

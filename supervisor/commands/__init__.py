"""The command line: one file for each command, each small; ``main`` only chooses."""

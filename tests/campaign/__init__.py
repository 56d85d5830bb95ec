"""What sheds do to computers, done to the daemon on purpose: ``python -m tests.campaign``."""

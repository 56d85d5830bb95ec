"""Firings played once more on the page: what there is to play, and films of it."""

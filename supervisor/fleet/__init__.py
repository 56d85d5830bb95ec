"""Proof on many simulated firings: what the watch finds, how late, and what it says for nothing.

Knows the simulator's truth and the watch, and lets neither see the other. Nothing that runs
beside a real kiln needs anything of this.
"""

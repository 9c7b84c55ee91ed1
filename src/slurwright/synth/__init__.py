"""Synth: made-up takes with exact truth; knows nothing of how the listening is done."""

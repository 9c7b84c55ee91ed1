"""Trials: a few ways to play one slur compared in a designed order, and what that says."""

"""Wiring: jobs joined with the machine, so that commands only translate words and print answers."""

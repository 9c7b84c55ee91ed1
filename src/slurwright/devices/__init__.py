"""Devices: files, packaged data and child processes; the only rooms below the commands that touch the machine."""

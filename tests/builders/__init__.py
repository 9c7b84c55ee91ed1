"""Builders of test values that several test rooms share."""

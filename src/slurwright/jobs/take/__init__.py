"""A take: a recording of a part, measured, told in words and pictures, and kept."""

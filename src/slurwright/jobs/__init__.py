"""Jobs: what a player asks for, one module each, in terms of values and ports."""

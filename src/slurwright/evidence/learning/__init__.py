"""Learning: what a player's attempts teach of their slurs, techniques and fingers."""

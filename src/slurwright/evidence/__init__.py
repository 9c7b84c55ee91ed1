"""Evidence: what a player's own attempts say of their slurs, techniques and fingerings."""

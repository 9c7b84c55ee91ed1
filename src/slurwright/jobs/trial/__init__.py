"""A trial: laid down, played by rounds, and told."""

"""Practice: what to play, in which order and how often, so that time goes where it buys the most."""

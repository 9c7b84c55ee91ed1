"""Sound files: bytes to samples at the working rate, with what must be said about them."""

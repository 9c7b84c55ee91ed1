"""Today's sheet: made out of parts and what is kept, told in words and on paper."""

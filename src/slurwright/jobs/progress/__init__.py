"""Progress: gathered from what is kept, told in words and on pages."""

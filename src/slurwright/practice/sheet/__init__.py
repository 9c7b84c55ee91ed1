"""A sheet: what to practise in the minutes of one day, dealt out by what it buys."""

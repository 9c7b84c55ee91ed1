"""Progress: what got better over the weeks, what did not, what to drop."""

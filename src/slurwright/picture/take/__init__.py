"""The picture of a take: under each note its pitch and loudness as they were, at each slur what became of it."""

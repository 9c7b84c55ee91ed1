"""Listen: what a recording says, note by note and slur by slur; arrays in, values out."""

"""What chords, keys and scales sound like, and what a note is called over them."""

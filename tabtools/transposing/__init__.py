"""A solo in another key or on other strings: chords, key and pitches moved, places in shape where the neck allows."""

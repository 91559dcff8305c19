"""Finding music over many solos: by sequences, techniques, chords and devices, by example, and what solos share."""

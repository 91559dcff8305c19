"""What the notes do: degrees over the chord and over the key."""

"""From pitches to places on the neck: where a hand would play what was heard."""

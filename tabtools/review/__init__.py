"""Two versions of a solo compared, three merged, and what git remembers of each bar."""

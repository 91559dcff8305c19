"""Three-way merging by header field, bar and beat line."""

"""The page of one solo, one module a section."""

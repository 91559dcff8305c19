"""The site: pages and drawings are pure, `plugin` is the only part that knows mkdocs."""

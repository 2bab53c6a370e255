"""The page: what stands on it, that it is sound HTML, and what a browser makes of it."""

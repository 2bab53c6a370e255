"""Read this first: read -> expand -> plan -> present."""

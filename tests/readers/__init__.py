"""Calendar readers that are no Python packages: small adapters, each a program of its own that prints JSON."""

"""The append-only record beside the job file; crash-safe."""

"""From a job to a problem and back: what facts leave, what is told, and that every plan keeps every rule."""

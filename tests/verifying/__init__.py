"""Every rule of the verifier: broken on purpose in a sound plan, and found there alone."""

"""Look-ups over one plan, and its sessions and weekends as they are shown: what text and page have in common."""

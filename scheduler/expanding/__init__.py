"""Job and profiles -> task graph. Pure; networkx lives here."""

"""Films, rate laws and air over time -> dry clocks. Pure."""

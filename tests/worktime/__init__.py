"""Work hours and busy times as windows, across changes of clocks."""

"""From what the steps use up and when they are planned to what must be in the house by when. Pure."""

from scheduler.buying.shopping import shopping_list

__all__ = ["shopping_list"]

"""Task graph and hours -> a Problem (`encode`); a placement -> a Plan (`decode`), and why it is so. Pure."""

"""Task graph and hours -> plan; the verifier; the bound. Pure, whole minutes, no words of the trade in the core."""

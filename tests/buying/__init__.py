"""What the shopping list counts, packs and orders, against sums made by hand."""

"""Calendar files over a life of a job, and what independent readers make of them."""

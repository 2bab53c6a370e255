"""The tests, in the rooms of the code; each reads as the rule that it protects."""

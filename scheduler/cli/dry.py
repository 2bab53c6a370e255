"""`tackfree dry`: when one coat is ready."""

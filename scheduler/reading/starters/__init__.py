"""A job to begin with: questions, their answers, and the commented job file that comes of them.

Each answer is read by what reads the same thing in a job file; nothing here asks, prints or writes.
"""

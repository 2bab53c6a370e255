"""A job while it is lived through: its file, its diary and the plan handed out, read together and kept in step."""

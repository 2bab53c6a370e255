"""The vocabulary: frozen records that each stage hands the next. No files, no clock, nothing above imported."""

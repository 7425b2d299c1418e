"""The calculation record: what an office files of a run, as parts with tables and charts, for paper or browser."""

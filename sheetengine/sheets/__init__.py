"""What each sheet looks like: read, written and documented from one declaration."""

"""The page a person opens."""

"""The page of an order, and the drawing code the app grows from."""

"""The open body the figure is made from: its data, its shape, its bones."""

"""What is printed: PDF, SVG and JSON writers."""

"""How a hung garment is shown: pictures from four sides, glTF, and what a page carries of it."""

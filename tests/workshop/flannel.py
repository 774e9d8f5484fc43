"""An order of trousers on one cloth, for tests of the cutting table."""

ORDER = """\
format = 1
# a comment that must survive
[client]
name = "Invented for this test"
[measures]
height = 166.0
waist_girth = 74.0
hip_girth = 99.0
[[garments]]
style = "trousers"
[[cloth]]
layer = "shell"
name = "grey flannel"
width = 150.0
price = 40.0
"""

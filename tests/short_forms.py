"""Two loads in the short form, for the tests that ask what becomes of one."""

NOSE = """
units = "us"
like = "trailer nose"
end_weight = "2400 lb"
hinge_to_lifters = "140 in"
hinge_to_point = "150 in"
rise = "5 in"
strokes_per_inch = 7
"""
MACHINE = """
like = "machine"
weight = "4 t"
rise = "100 mm"
strokes_per_25_mm = 8
"""

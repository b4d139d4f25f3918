"""Small designs that several test files share: pushers of invented numbers, a machine without a pack among them."""

TABLES = """[battery]
cells = 2
capacity = "300 mAh"
resistance = "60 mohm"
mass = "20 g"
[drive]
motors = 2
ratio = 20
[drive.motor]
kv = "2500 rpm/V"
resistance = "2 ohm"
no_load_current = "0.1 A"
mass = "15 g"
[wheel]
diameter = "30 mm"
mass = "10 g"
friction = 0.8
count = 2
[arena]
length = "2 m"
[match]
time = "2 min"
"""

PLAIN_BOX = """
name = "Plain box"
length = "200 mm"
width = "180 mm"
height = "80 mm"
track = "150 mm"
wheelbase = "120 mm"
cg_height = "30 mm"

[drive]
motors = 2
ratio = 20

[drive.motor]
kv = "1000 rpm/V"
resistance = "0.5 ohm"
no_load_current = "0.3 A"
mass = "50 g"

[wheel]
diameter = "60 mm"
mass = "20 g"
friction = 0.8
count = 4

[arena]
length = "2 m"

[match]
time = "3 min"

[[parts]]
name = "box"
kind = "solid"
mass = "700 g"
"""

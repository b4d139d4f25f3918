"""The tables that every small design of the tests shares: a two-wheeled pusher of invented numbers."""

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

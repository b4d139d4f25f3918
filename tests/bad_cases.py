"""What a stranger may get wrong, a line a mistake: changes of the main demo's files, other files, and command lines.

In the changes a key is followed by its TOML text, None takes it out.
"""

from __future__ import annotations

Changes = dict[str, str | None]

LONG = "x" * 500

W = 'positions."wheels"'

DESIGN: list[Changes] = [
    {"length": "165"}, {"length": "true"}, {"length": "2026-01-01"}, {"length": '"12,5 mm"'}, {"length": '"mm"'},
    {"length": f'"{LONG} mm"'}, {"length": '"5 mmm"'}, {"length": '"165 g"'}, {"length": '"1/4 in"'},
    {"length": '"1,650 mm"'}, {"drive.ratio": '"22:1"'},
    {"length": '"9 m * \\u0007"'}, {"length": '"165"'}, {"length": '"nan mm"'}, {"length": '"1e30 mm"'},
    {"length": '{ value = 165 }'}, {"length": '"0 mm"'}, {"length": '"5\\u001b[1m mm"'}, {"length": '"5 ^ mm"'},
    {LONG: "1"}, {"length": None}, {"lenght": '"1 mm"'}, {"mass": '"3 gr"'}, {"mass": '"900 g"'},
    {"cg_height": '"90 mm"'}, {"cg_ahead": '"900 mm"'}, {"arena.ceiling": '"10 mm"'}, {"wheel.count": "900"},
    {"wheel.driven": "9"}, {"wedge.angle": '"900 deg"'}, {"battery.cells": '"3S"'}, {"battery.capacity": '"450 mA"'},
    {"drive.motor.kv": '"2450 rpm"'}, {"rotor.speed": '"5 Hz"'}, {"rotor.speed": '"100 1/s"'},
    {"rotor.axis": '"vertical"'}, {"rotor.axis": '"sideways"'}, {"rotor.axis": "1"}, {"rotor.axis": "true"},
    {"rotor.spin": '"clockwise"'}, {"rotor.bore": '"900 mm"'}, {"rotor.material": '"unobtainium"'},
    {"rotor.mount.bolt": '"#4-40"'}, {"rotor.mount.bolt": '"M3x10"'}, {"rotor.mount.bolt_class": '"9.9"'},
    {"rotor.bearing.designation": '"R99"'}, {"rotor.mount.bolts": "900"}, {"rotor.belt.kind": '"toothed"'},
    {"rotor.belt.centre_distance": '"1 mm"'}, {"rotor.belt.friction": None}, {"rotor.transmission": '"hub"'},
    {"rotor.transmission": '"direct"'}, {"rotor.axis": '"Across"'}, {"rotor.mass": '"1 g"'},
    {"rotor.diameter": '"900 mm"'}, {"rotor.shape": '"disc"', "rotor.strip_drag": "1"}, {"rotor.mount.pattern": None},
    {"rotor.motor.kv": None, "rotor.speed": None, "rotor.motor.resistance": None}, {"wall.part": '"wings"'},
    {"lid.part": '"drive motors"'}, {"stock_files.bolts": '"none.csv"'}, {"stock[1].key": '"rotor.mas"'},
    {"stock[1].family": '"steel"'}, {"stock[1].shelf": '"shop"'},
    {"stock[1].key": '"wall.thickness"', "stock[2].key": '"wall.thickness"'}, {"stock[1].snap": '"roughly"'},
    {"fasteners[1].count": "5000"}, {"fasteners[1].count": "true"}, {"fasteners[1].bolt": '"M7"'},
    {"parts[1].name": None}, {"parts[1].name": '"twin"', "parts[2].name": '"twin"'}, {"parts[1].count": "0"},
    {"parts[1].kind": '"foil"'}, {"parts[1].snap": '"up"', "parts[1].kind": '"solid"'}, {"parts[1].mass": '"-1 g"'},
    {"parts[1].mesh": '"none.stl"'}, {"parts[1].mesh": '"design.toml"'}, {"parts[1].mesh": '"."'},
    {"parts[1].mesh": '"empty.stl"'}, {"parts[1].mesh": '"noise.stl"'},
    {"parts[1].mesh": '"open.stl"', "parts[1].mass": None}, {"parts[1].mesh": '"points.obj"'},
    {"positions.wings": '["1 mm", "2 mm", "3 mm"]'}, {W: '["1 mm", "2 mm"]'}, {W: "[]"}, {W: '"here"'}, {W: "3"},
    {W: '[["0 mm", "63 mm", "23 mm"], ["0 mm", "63 mm", "23 mm"], ["0 mm", "63 mm", "23 mm"]]'},
    {"reference": '"design.toml"'}, {"parts": "3"}, {"rotor": '"yes"'}, {"arena": "1"},
    {"rotor.creep_test": "2026-01-01"}, {"rotor.creep_test": '"2026-13-01"'}, {"rotor.creep_test": '"1.3.2026"'},
    {"righting": "1"}, {"drive.ratio": "inf"}, {"rotor.motor.rise_limit": '"80 degC"'}, {"rotor.lean": '"900 deg"'},
    {"rotor.speed": None, "rotor.motor.kv": None},
    {"removals": '[{name = "a", screws = 4, behind = ["b"]}, {name = "b", screws = 1, behind = ["a"]}]',
      "service.target": '"a"'},
    {"removals": "3"}, {"removals": '[{name = "lid", screws = 4}]'},
    {"service.target": '"pack"', "removals": '[{name = "lid", screws = 4}]'},
]  # fmt: skip

BRIEF: list[Changes] = [
    {"mass_limit": "1360"}, {"mass_limit": '"0 kg"'}, {"mass_limit": None}, {"mass_limt": '"1 kg"'},
    {"mass_limit": '"900 kg"', "mass_margin": '"1 g"'}, {"mass_limit": '"1e-9 kg"', "mass_margin": '"0 g"'},
    {"mass_margin": '"2 kg"'}, {"reference": '"elsewhere.toml"'}, {"reference": None}, {"snap": '"yes"'},
    {"name": '"\\u202eevil"'}, {"name": "true"}, {"name": '""'}, {"laws": "[]"}, {"laws": "3"},
    {"laws[1].law": '"masses"'}, {"laws[1].law": '"length"'}, {"laws[1].law": '"least-drift"'},
    {"laws[1].speed_rules": '"hold-rpm"'}, {"laws[1].speed_rules": "[]"}, {"laws[1].speed_rules": "[1]"},
    {"laws[1].speed_rules": '["hold-rmp"]'}, {"laws[1].drive_rule": '"held"'}, {"laws[1].target": '"1 m"'},
    {"laws[1].key": '"width"'}, {"laws[1].free": '["factor"]'}, {"laws[3].key": '"rotor.mass"'},
    {"laws[3].key": '"rotor.tooth_gap"'}, {"laws[3].key": '"rotor.hub.width"'},
    {"laws[3].key": '"opponent.length"'}, {"laws[3].target": '"900 m"'}, {"laws[3].target": '"0.1 mm"'},
    {"laws[2].target": None}, {"laws[2].target": '"0.01 mm"'}, {"laws[4].free": '["colour"]'},
    {"laws[4].free": '["parts.wings.thickness"]'}, {"laws[4].free": '["battery.cells"]', "options.cells": None},
    {"laws[4].free": '["parts.wings.material"]'}, {"laws[4].free": '["parts.cross members.material"]'},
    {"laws[4].free": '["track"]', "port.width": '"200 mm"'},
    {"laws[4].free": '["parts.top and bottom plates.thickness"]', "port.lid.part": '"x"'},
    {"laws[4].free": '["rotor.chord"]'}, {"laws[4].free": '["parts.drive motors.thickness"]'}, {"held.track": "1.2"},
    {"held.factor": "1.4", "held.rotor.strip_drag": "1.2"}, {"held.factor": "1.4", "held.colour": "1"},
    {"held.factor": "1.4", "held.track": '"1 g"'}, {"held.factor": "1.4", "held.battery.cells": "3.5"},
    {"held.factor": "1.4", 'held."parts.side walls.material"': '"hdpe"'},
    {"held.factor": "1.4", "held.rotor.chord": '"9 mm"'}, {"port": "3"}, {"port.rotor.diametr": '"1 mm"'},
    {"port.rotor.motor.kv": '"900 rpm/V"'}, {"port.battery.voltage": '"14.8 V"'}, {"port.rotor.shape": '"disc"'},
    {"port.rotor.motor.kind": '"solid"'}, {"port.stock_files.bolts": '"a.csv"'}, {"port.wall.thickness": '"9 mm"'},
    {"port.mass": '"1 kg"'}, {"port.righting.arm.torque": '"2 N m"'}, {"port.rail.bolt": '"M3"'},
    {"port.rotor.mount.bolt": '"M7"'}, {"port.design": '"none.toml"'}, {"port.design": "3"},
    {"swaps.uhmwpe": '"unobtainium"'}, {"swaps.uhmwpe": "3"}, {"parts.wings.mass": '"1 g"'}, {"parts.wings": "3"},
    {"parts.wheels.thickness": '"1 mm"'}, {"limits": "3"}, {"limits.at_best.tip_speed": '"9 m/s"'},
    {"limits.at_least": "3"}, {"limits.at_most.tip_spede": '"9 m/s"'}, {"limits.at_least.tip_speed": '"9 m/s"'},
    {"limits.at_most.tip_speed": "9"}, {"closure[1].lever": '"holes"'}, {"closure[1].parts": '["wings"]'},
    {"closure[1].parts": '["wheels"]'}, {"closure[1].least": "2"}, {"closure[1].most": "0.8"},
    {"closure[2].most": "9"},
    {"closure[2].lever": '"material"', "closure[2].parts": '["drive motors"]', "closure[2].material": '"hdpe"',
      "closure[2].most": None},
    {"options": "3"}, {"options.cells": "[0]"}, {"options.cells": '"3S"'}, {"options.materials": "3"},
    {"options.materials.wings": "3"}, {"options.rotor_motors": '"none.csv"'}, {"options.rotor_motors": '"."'},
    {"options.fits": '["colour"]'}, {"objective.preset": '"fast"'}, {"objective.weights.colour": "1"},
    {"objective.weights": "3"}, {"size_limit.length": '"0 mm"'}, {"size_limit.depth": '"1 mm"'}, {"stock": "3"},
    {"stock.bolts": '"none.csv"'}, {"stock.sheet": '"a.csv"'}, {"lawns": "1"},
]  # fmt: skip

MOTORS = "name,kv_rpm_per_V,resistance_mohm,no_load_current_A,current_limit_A,diameter_mm,mass_g"
SECRETS = "root:x:0:0:root:/root:/bin/bash\nsecret:$6$hush:1:0:9:7:::\n"

CATALOGUES: list[str] = [
    "", "# none\n", f"{MOTORS}\n", f"{MOTORS},colour\nA,1,2,3,4,5,6,7\n", f"{MOTORS},mass_g\nA,1,2,3,4,5,6,7\n",
    f"{MOTORS.replace(',mass_g', '')}\nA,1,2,3,4,5\n", f"{MOTORS}\nA,1,2,3,4,5\n", f"{MOTORS}\nA,x,2,3,4,5,6\n",
    f"{MOTORS}\nA,0,2,3,4,5,6\n", f"{MOTORS}\n,1,2,3,4,5,6\n", f"{MOTORS}\nA,1,2,3,4,5,6\nA,1,2,3,4,5,6\n",
    f"{MOTORS},price\nA,1,2,3,4,5,6,{LONG}\n", f'{MOTORS}\n"A,1,2,3,4,5,6\n', f"{MOTORS.replace(',', ';')}\n",
    SECRETS, f"{MOTORS}\n{LONG},1,2,3,4,5,6\n",
]  # fmt: skip
"""Files of motors."""

BOLTS = "size,diameter_mm"
SHELVES: list[str] = [
    "", f"{SECRETS}", "name,full_V\n", "designation,bore_mm,outside_mm,width_mm,colour\n608,8,22,7,red\n",
    "designation,bore_mm,outside_mm,width_mm\n608,8,22\n", "designation,bore_mm,outside_mm,width_mm\n608,22,8,7\n",
    "designation,bore_mm,outside_mm,width_mm\n608,8,22,wide\n", "designation,bore_mm,outside_mm,width_mm\n,8,22,7\n",
    "designation,bore_mm,outside_mm,width_mm\n608,8,22,7\n608,8,22,7\n", "designation,bore_mm,outside_mm\n608,8,22\n",
    "designation,bore_mm,outside_mm,width_mm,bore_mm\n608,8,22,7,8\n",
    "designation,bore_mm,outside_mm,width_mm\n# replace\n608,8,22,7\n",
]  # fmt: skip
"""Files of bearings."""

FILES: list[bytes] = [
    b"", b"length = 165 mm\n", b'name = "\xff"\n', b"a = 1\na = 2\n", b"[a.b]\n[a.b]\n",
    b"a" + b".a" * 20 + b" = 1\n", b"a = " + b"9" * 5000, b"a = " + b"[" * 5000, b'a = "\x00"',
    b"# " + b"x" * 3_000_000, SECRETS.encode(), b"a = 1\n", b"a = 2026-13-01\n",
]  # fmt: skip
"""Files in the place of a design, and of a brief."""

BRIEFED = "brief.toml"
LINES: list[str] = [
    "check none.toml", "check .", "study design.toml", "study design.toml --mass 3",
    'study design.toml --mass "0 kg"', 'study design.toml --mass "1 kg" --margin "2 kg"',
    'study design.toml --mass "1 kg" --speed-rule fast', 'study design.toml --mass "1 kg" --drive-rule fast',
    'study design.toml --mass "900 t"', 'study design.toml --mass "1 kg" --length "900 m"',
    'study design.toml --mass "1 kg" --motor-diameter "0 mm"', "study brief.toml --clock noon",
    "study brief.toml -o brief.toml", "study brief.toml -o full", "study brief.toml --only colour",
    "window design.toml", "options design.toml", "window brief.toml --only colour", "plot colour brief.toml -o a.png",
    "plot drift brief.toml", "plot drift brief.toml -o a.gif", "plot drift brief.toml -o full.png",
    "plot drift brief.toml -o there.png", 'plot drift brief.toml -o a.png --width "1 mm"',
    "plot drift brief.toml -o a.png --width 3", "laws --drive-rule fast", "plot drift brief.toml -o a.png --dpi 5",
    "plot drift brief.toml -o a.svg --dpi 200", "study brief.toml --speed-rule hold-rpm",
    'study brief.toml --margin "1 g"', "study brief.toml --drive-rule as-bought", 'study brief.toml --mass "1 kg"',
    "study brief.toml --json -o OUT", "study brief.toml --force", "study brief.toml --clock driver",
    "study brief.toml --all --only rotor_energy", "check brief.toml --all --json", "options brief.toml --top 3 --all",
    "keys rotor --json-schema", "compare brief.toml design.toml", "init brief.toml/x",
    "check pusher.toml --only rotor_energy", f"check {LONG}.toml", "options brief.toml --top 0",
    "options brief.toml -o there.png", "keys colour", "keys --file colour", "explain colour",
    "explain rotor_energy pusher.toml", "sources none.json", "sources list.json", "sources words.json",
    "sources noise.json", "groups --free track", "groups --hold colour", "groups design.toml --hold gyro",
    "init . --kind flipper", "init .", "compare design.toml design.toml --by colour",
    "compare design.toml design.toml --mass 3", "compare design.toml design.toml --by rotor.mass",
    "mesh none.stl --factor 1 --material hdpe", "mesh . --factor 1 --material hdpe",
    "mesh design.toml --factor 1 --material hdpe", "mesh empty.stl --factor 1 --material hdpe",
    "mesh noise.stl --factor 1 --material hdpe", "mesh points.obj --factor 1 --material hdpe",
    "mesh cube.stl --factor 0 --material hdpe", "mesh cube.stl --factor 1,2 --material hdpe",
    "mesh cube.stl --factor 1 --material gold", "mesh cube.stl --factor 1 --material hdpe --unit furlong",
    "mesh cube.stl --factor 1 --material hdpe --expected-mass 3", "mesh cube.stl --factor 1 --material hdpe -o a.xyz",
    "mesh cube.stl --factor 1 --material hdpe -o empty.stl", "mesh cube.stl --factor 1 --material hdpe -o none/a.stl",
    "mesh cube.stl --factor 1 --material hdpe -o folder.stl", "mesh huge.stl --factor 1 --material hdpe --unit m",
    "outline top_plate.dxf", "outline top_plate.dxf --factor 1,2,3", "outline top_plate.dxf --factor x",
    "outline none.dxf --factor 1", "outline noise.dxf --factor 1", "outline many.dxf --factor 1",
    "outline missing.dxf --factor 1",
    "mesh noise.ply --factor 1 --material hdpe", "mesh big.stl --factor 1 --material hdpe",
    "outline bare.dxf --factor 1",
    "outline top_plate.dxf --factor 1 -o a.svg", "outline top_plate.dxf --factor 1 -o top_plate.dxf",
    'outline top_plate.dxf --factor 1 --hole "3 mm"', "outline units.dxf --factor 1",
]  # fmt: skip
"""Command lines in a folder with the demo's files and some spoilt ones beside them."""

UNTIED: Changes = {"wall.part": None, "lid.part": None, "wedge.part": None, "wall.thickness": '"9 mm"'}
WITHOUT_PARTS: list[Changes] = [UNTIED | {"mass": '"1 g"'}, UNTIED | {"mass": None}]
"""Changes of the design where it lists no parts."""

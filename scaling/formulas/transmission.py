"""transmission"""

VARIABLES = ()
QUANTITIES = ()

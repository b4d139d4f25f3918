"""thermal"""

VARIABLES = ()
QUANTITIES = ()

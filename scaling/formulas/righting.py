"""righting"""

VARIABLES = ()
QUANTITIES = ()

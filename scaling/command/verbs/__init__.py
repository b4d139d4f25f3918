"""The verbs, a file each: a module holds the function of its own name, which ``command.cli`` finds and registers.

Beside it a module may hold ``ORDER``, its place in the list of verbs (those without come last), and ``EXAMPLE``, the
command line that its help shows and the tests run, over the files of a demo.
"""

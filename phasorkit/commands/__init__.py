"""One module per command of the command line: HELP, add_arguments(parser), run(given) -> exit code."""

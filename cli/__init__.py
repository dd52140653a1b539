"""The command line of heavyspot: parse, call, print."""

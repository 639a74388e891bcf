"""Public test suites as inputs, run by the code that runs houses.

A case is a row of differences; one function turns any row into a network, and one set of
``Options`` runs a whole suite.
"""

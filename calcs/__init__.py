"""Pure numerics of Rimjoist: the hourly house model and the field-test formulas.

Takes and returns plain floats and arrays in SI. Knows nothing of Django, pint or Celery.
"""

# Changes whenever a run of the same house in the same weather could give other numbers.
ENGINE_VERSION = "2"

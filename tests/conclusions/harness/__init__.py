"""What the tests of conclusions stand on: a good case of a template, changed in every way, run in this process, and judged."""
